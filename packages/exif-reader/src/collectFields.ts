import type { ExifNote, ExposureFields, Field, MissingField } from "./exposureRecord.ts";
import { aperture } from "./field/aperture.ts";
import { brightnessValue } from "./field/brightnessValue.ts";
import { capturedAt } from "./field/capturedAt.ts";
import {
  colourSpace,
  composite,
  contrast,
  customRendered,
  gainControl,
  lightSource,
  meteringPattern,
  mode,
  programme,
  saturation,
  sceneType,
  sensitivityType,
  sharpness,
} from "./field/codes.ts";
import { compensation } from "./field/compensation.ts";
import { ABSENT } from "./field/fieldRules.ts";
import { flashFired } from "./field/flashFired.ts";
import { focalLength, focalLength35mm } from "./field/focalLength.ts";
import { iso } from "./field/iso.ts";
import { locationPresent } from "./field/locationPresent.ts";
import { keywords, regions } from "./field/marks.ts";
import { orientation } from "./field/orientation.ts";
import { pixelHeight, pixelWidth } from "./field/pixelSize.ts";
import { shutter } from "./field/shutter.ts";
import { subjectArea, subjectLocation } from "./field/subject.ts";
import { madeBy, make, model, software } from "./field/texts.ts";
import { REASONS } from "./fieldAbsence.ts";
import type { TagSource } from "./tag/tagSource.ts";

/** Every field, from the first source that has a usable value for it; null stands for a source that a file has not. */
export function collectFields(possible: readonly (TagSource | null)[]): {
  fields: ExposureFields;
  notes: ExifNote[];
} {
  const sources = possible.filter((source) => source !== null);
  const notes: ExifNote[] = [];
  const pick = <T>(name: keyof ExposureFields, rule: (tags: TagSource) => Field<T>): Field<T> => {
    let refused: MissingField | null = null;
    for (const source of sources) {
      const field = rule(source);
      if ("reason" in field) {
        if (field.reason !== "absent") refused ??= field;
        continue;
      }
      if (refused !== null) {
        const message = `${name} is taken from ${field.from}, because the first value found is unusable. ${REASONS[refused.reason]}`;
        notes.push({ code: "value-from-xmp-instead", message });
      }
      return field;
    }
    return refused ?? ABSENT;
  };
  const made = pick("software", madeBy);
  const fields: ExposureFields = {
    aperture: pick("aperture", aperture),
    shutter: pick("shutter", shutter),
    iso: pick("iso", iso),
    compensation: pick("compensation", compensation),
    programme: pick("programme", programme),
    mode: pick("mode", mode),
    meteringPattern: pick("meteringPattern", meteringPattern),
    brightnessValue: pick("brightnessValue", brightnessValue),
    subjectArea: pick("subjectArea", subjectArea),
    subjectLocation: pick("subjectLocation", subjectLocation),
    flashFired: pick("flashFired", flashFired),
    focalLength: pick("focalLength", focalLength),
    focalLength35mm: pick("focalLength35mm", focalLength35mm),
    orientation: pick("orientation", orientation),
    colourSpace: pick("colourSpace", colourSpace),
    contrast: pick("contrast", contrast),
    saturation: pick("saturation", saturation),
    sharpness: pick("sharpness", sharpness),
    sceneType: pick("sceneType", sceneType),
    customRendered: pick("customRendered", customRendered),
    composite: pick("composite", composite),
    sensitivityType: pick("sensitivityType", sensitivityType),
    gainControl: pick("gainControl", gainControl),
    lightSource: pick("lightSource", lightSource),
    make: pick("make", make),
    model: pick("model", model),
    capturedAt: pick("capturedAt", capturedAt),
    software: made.value === null ? pick("software", software) : made,
    pixelWidth: pick("pixelWidth", pixelWidth),
    pixelHeight: pick("pixelHeight", pixelHeight),
    locationPresent: pick("locationPresent", locationPresent),
    keywords: pick("keywords", keywords),
    regions: pick("regions", regions),
  };
  return { fields, notes };
}
