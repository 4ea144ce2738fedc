import XMLBuilder from "fast-xml-builder";
import { MADE_SOFTWARE } from "../model/madeFrame.ts";
import type { SimulatedPattern } from "../model/metering.ts";
import { safeText, stopsText } from "../model/words.ts";
import { version } from "../run/version.ts";
import type { MadeFrame } from "./exposeFrame.ts";
import type { MadeSettings } from "./exposure.ts";
import { madeSettingsText } from "./madeSettingsText.ts";

/** Exif MeteringMode [EXIF]. */
const METERING_MODE: Readonly<Record<SimulatedPattern, number>> = {
  average: 1,
  "centre-weighted": 2,
  spot: 3,
  "multi-segment": 5,
  partial: 6,
};

/** Exif ExposureProgram: manual, aperture priority. */
const [MANUAL_PROGRAMME, APERTURE_PRIORITY] = [1, 3];

/** Exif ExposureMode. */
const [AUTO, MANUAL, AUTO_BRACKET] = [0, 1, 2];

/** Exif CustomRendered: special processing. */
const CUSTOM = "1";

/** Exif Flash: fired; did not fire, switched off. */
const [FIRED, NOT_FIRED] = [1, 16];

/** Tags of a directory, as they are given to the encoder. */
type Tags = Record<string, string>;

/**
 * What Exif says of a made frame: the settings that its exposure would have had, and that it was made.
 *
 * IFD2 is what the encoder calls the Exif directory.
 */
export function madeExif(made: MadeFrame, caption?: string): { IFD0: Tags; IFD2: Tags } {
  const { exposure, capture } = made;
  const { make, model, capturedAt, flashFired, focalLength, focalLength35mm } = capture.exposure;
  const time = exifTime(capturedAt.value);
  const { mode, bracketed, reading, compensation, settings } = exposure;
  return {
    IFD0: present({
      ImageDescription: captioned(made, caption),
      Software: `${MADE_SOFTWARE} ${version()}`,
      Make: make.value,
      Model: model.value,
      DateTime: time,
    }),
    IFD2: present({
      ...settingTags(settings),
      ExposureProgram: mode === "auto" ? APERTURE_PRIORITY : MANUAL_PROGRAMME,
      ExposureMode: mode === "manual" ? MANUAL : bracketed ? AUTO_BRACKET : AUTO,
      ExposureBiasValue: compensation === null ? null : thirdsText(compensation),
      MeteringMode: reading && METERING_MODE[reading.pattern],
      Flash: flashFired.value === null ? null : flashFired.value ? FIRED : NOT_FIRED,
      FocalLength: focalLength.value && `${Math.round(10 * focalLength.value)}/10`,
      FocalLengthIn35mmFilm: focalLength35mm.value && Math.round(focalLength35mm.value),
      DateTimeOriginal: time,
      ColorSpace: 1,
      CustomRendered: CUSTOM,
    }),
  };
}

function captioned(made: MadeFrame, caption: string | undefined): string {
  return [...(caption === undefined ? [] : [safeText(caption)]), madeDescription(made)].join(" ");
}

/** One sentence or two on how the frame came to be, in plain text. */
function madeDescription({ capture, exposure, curve }: MadeFrame): string {
  const { label, stops, settings } = exposure;
  const shown = settings ? `, ${madeSettingsText(settings)}` : "";
  const text = `Made by Tonefall from ${capture.name}: ${label}${shown}; ${stopsText(stops)} stops from the capture, curve ${curve.name}. Blur, depth of field and noise are the capture's.`;
  return safeText(text);
}

/** The same as an XMP packet, with every figure under a name of its own. */
export function madeXmp(made: MadeFrame, caption?: string): string {
  const { capture, exposure, curve, notes } = made;
  const { stops, label, reading, placed, settings } = exposure;
  const description = captioned(made, caption);
  const facts = present({
    Made: "true",
    MadeBy: `${MADE_SOFTWARE} ${version()}`,
    Capture: safeText(capture.name),
    Exposure: safeText(label),
    StopsFromCapture: stops.toFixed(4),
    RoundingStops: settings?.roundingStops.toFixed(4),
    Curve: safeText(curve.name),
    Pattern: reading?.pattern,
    Reading: reading?.stops.toFixed(4),
    Region: placed?.region,
    Place: placed && safeText(placed.place),
    Notes: notes.map(({ code }) => code).join(" "),
  });
  return builder.build({
    "x:xmpmeta": {
      "@xmlns:x": "adobe:ns:meta/",
      "rdf:RDF": {
        "@xmlns:rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
        "rdf:Description": {
          "@rdf:about": "",
          "@xmlns:xmp": "http://ns.adobe.com/xap/1.0/",
          "@xmlns:dc": "http://purl.org/dc/elements/1.1/",
          "@xmlns:tonefall": "urn:tonefall:made-frame:1",
          "@xmp:CreatorTool": `${MADE_SOFTWARE} ${version()}`,
          ...Object.fromEntries(
            Object.entries(facts).map(([name, value]) => [`@tonefall:${name}`, value]),
          ),
          "dc:description": {
            "rdf:Alt": { "rdf:li": { "@xml:lang": "x-default", "#text": description } },
          },
        },
      },
    },
  });
}

const builder = new XMLBuilder({
  attributeNamePrefix: "@",
  ignoreAttributes: false,
  suppressBooleanAttributes: false,
});

function settingTags(settings: MadeSettings | null): Record<string, string | null> {
  if (!settings) return {};
  const { aperture, shutterSeconds, iso } = settings;
  return {
    FNumber: `${Math.round(100 * aperture)}/100`,
    ExposureTime: secondsText(shutterSeconds),
    ISOSpeedRatings: iso <= MOST_SHORT ? String(Math.round(iso)) : null,
  };
}

/** The largest number that Exif's speed holds. */
const MOST_SHORT = 65_535;

/** A time as a fraction: `1/125` where it is one over a whole number, otherwise to seven digits. */
function secondsText(seconds: number): string {
  const under = Math.round(1 / seconds);
  if (under > 0 && Math.abs(seconds * under - 1) < 1e-6) return `1/${under}`;
  if (seconds >= 1) return `${Math.round(seconds * 1e5)}/100000`;
  return `10000/${Math.round(1e4 / seconds)}`;
}

function thirdsText(stops: number): string {
  const thirds = Math.round(3 * stops);
  return Math.abs(3 * stops - thirds) < 0.01 ? `${thirds}/3` : `${Math.round(100 * stops)}/100`;
}

/** Exif's form of a time, without fraction and zone; null where there is none. */
function exifTime(time: string | null): string | null {
  const [, date, clock] = /^(\d{4}-\d\d-\d\d)T(\d\d:\d\d:\d\d)/.exec(time ?? "") ?? [];
  return date && clock ? `${date.replaceAll("-", ":")} ${clock}` : null;
}

/** The entries that say something, as text. */
function present(entries: Record<string, string | number | null | undefined>): Tags {
  return Object.fromEntries(
    Object.entries(entries).flatMap(([name, value]) =>
      value === null || value === undefined || value === ""
        ? []
        : [[name, safeText(String(value))]],
    ),
  );
}
