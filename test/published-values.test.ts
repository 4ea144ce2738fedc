import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import * as tone from "../packages/tone-core/src/index.ts";
import { referenceTable } from "./outside.mjs";

/** A published figure, with where it was published and how it reached us. */
interface PublishedValue {
  readonly id: string;
  readonly quantity: string;
  // biome-ignore lint/suspicious/noExplicitAny: every quantity has inputs of its own
  readonly inputs: any;
  readonly expected: unknown;
  readonly tolerance: number;
  readonly unit: string;
  readonly source: string;
  readonly obtained: "text found" | "package file" | "memory";
}

const table: readonly PublishedValue[] = JSON.parse(read("./reference/published-values.json"));

/** Published figures are decimals: where one is given as exact, a double may still miss it by this much. */
const DOUBLE_ROUNDING = 1e-12;

type Answer = (inputs: PublishedValue["inputs"], id: string) => number | readonly number[];

/** What our functions answer to a published question; the key is the id, or its beginning where it ends in a dot. */
const answers: Readonly<Record<string, Answer>> = {
  "adobe.enc.18": ({ linear }) => 255 * tone.ADOBE_RGB.encode(linear),
  "adobe.gamma": () => Math.log(tone.ADOBE_RGB.linearise(0.5)) / Math.log(0.5),
  adjust: ({ a, ev }) => a.map((luminance: number) => tone.luminanceAtStops(ev, luminance)),
  "apex.av.": ({ fNumber }) => tone.apertureValue(fNumber),
  "apex.sunny": ({ fNumber, time }) =>
    tone.exposureValue(
      tone.exactSettings({ aperture: fNumber, shutterSeconds: fraction(time), iso: 100 }),
    ),
  "apex.sv.": ({ iso }) => tone.speedValue(iso),
  "apex.tv.": ({ time }) => tone.timeValue(fraction(time)),
  "bias.snap.": ({ raw }) => tone.exactCompensation(raw),
  "bt709.oetf.18": ({ linear }) => tone.REC709_CAMERA.encode(linear),
  "bv.residual.": (inputs) => tone.brightnessResidual(inputs.brightnessValue, settings(inputs)),
  "bv.to.L": () => tone.brightnessLuminance(0),
  "card.90.18": ({ white, grey }) => tone.stopsBetween(white, grey),
  "chart.density.refl": ({ D }) => densities(D).map(({ reflectance }) => reflectance),
  "chart.density.steps": ({ D }) => stepsDown(densities(D).map(({ reflectance }) => reflectance)),
  "chart.equal.tone": (inputs) =>
    ["moderate red", "cyan", "magenta", "blue sky"].map((patch) =>
      tone.stopsBetween(inputs[patch], inputs.neutral5),
    ),
  "chart.green.red.": ({ green, red }) => tone.stopsBetween(green, red),
  "chart.red.foliage": ({ foliage, red }) => tone.stopsBetween(foliage, red),
  // against neutral 5 of the same chart, and against middle grey
  "chart.skin": (inputs) => [
    tone.stopsBetween(inputs["light skin"], 0.1915),
    tone.stopsBetween(inputs["light skin"]),
  ],
  // the published figures use the standard's row as it is printed, to four places
  "chart.srgb.": ({ srgb }) =>
    tone.relativeLuminance(
      srgb.map((code: number) => tone.SRGB.linearise(code / 255)),
      [0.2126, 0.7152, 0.0722],
    ),
  "chart.steps.": ({ Y }) => stepsDown(Y),
  "dng.noblack.trap": ({ raw, black, white }) =>
    tone.stopsBetween(raw / white, (raw - black) / (white - black)),
  "ev100.": (inputs) => tone.exposureValue100(settings(inputs)),
  "evtable.E.": ({ ev }) => tone.illuminanceFromExposureValue(ev),
  "evtable.L.": ({ ev }) => tone.luminanceFromExposureValue(ev),
  "gamma22.trap": ({ code }) =>
    tone.stopsBetween(
      tone.gammaTransfer(2.2).linearise(code / 255),
      tone.SRGB.linearise(code / 255),
    ),
  "icc.d50.shift": ({ d50, d65 }) => tone.stopsBetween(d50, d65),
  "icc.y.": ({ profile }) => colorantLuminances(profile),
  "iso.din.": ({ iso }) => Math.round(tone.logarithmicSpeed(iso)),
  "iso12232.18.over.141": () => (100 * tone.MIDDLE_GREY) / Math.SQRT2,
  "iso12232.H": ({ L, N, t }) =>
    tone.focalPlaneExposure(
      L,
      { aperture: N, shutterSeconds: fraction(t) },
      tone.lensFactor({ transmittance: 0.9, vignetting: 0.98, angleDegrees: 10 }),
    ),
  "iso12232.Lmax": ({ q }) => tone.saturationLuminance(0, q),
  "iso12232.ei": ({ Hm }) => tone.exposureIndex(Hm),
  "iso12232.ei.": ({ H }) => tone.exposureIndex(H),
  "iso12232.meterK": ({ K, q }) => 100 * tone.meteredShareOfSaturation(K, q),
  "iso12232.mid.over.sat": () => 100 * tone.SENSOR_MIDDLE_GREY,
  "iso12232.q": ({ T, fv, theta }) =>
    tone.lensFactor({ transmittance: T, vignetting: fv, angleDegrees: theta }),
  "iso12232.sat": ({ Hsat }) => tone.saturationSpeed(Hsat),
  "iso12232.sos.level": () => tone.toneFromStops(0).srgbCode ?? Number.NaN,
  "iso2720.C.dome": () => tone.INCIDENT_METER_C_DOME_RANGE,
  "iso2720.C.flat": () => tone.INCIDENT_METER_C_FLAT_RANGE,
  "iso2720.K.range": () => tone.REFLECTED_METER_K_RANGE,
  "lstar.": ({ Y }) => tone.lightness(Y),
  // an encoded weight read as if it were luminance
  "luma.trap.": ({ luma, Y }) => tone.stopsBetween(tone.SRGB.linearise(luma), Y),
  "lv.file.": (inputs) => tone.exposureValue100(settings(inputs)),
  "meter.E.": (inputs) => tone.illuminanceFromSettings(settings(inputs), inputs.C),
  "meter.H": ({ N, S, L }) => {
    const { shutterSeconds } = timeThatSuits(L, N, S);
    return S * tone.focalPlaneExposure(L, { aperture: N, shutterSeconds });
  },
  "meter.L.": (inputs) => tone.luminanceFromSettings(settings(inputs), inputs.K),
  "meter.R.": ({ K, C }) => 100 * tone.impliedReflectance(K, C),
  "meter.evE.": ({ E, S, C }) => tone.exposureValueFromIlluminance(E, S, C),
  "meter.evL.": ({ L, S, K }) => tone.exposureValueFromLuminance(L, S, K),
  "p3.enc.18": ({ linear }) => tone.DISPLAY_P3.encode(linear),
  "prophoto.enc.18": ({ linear }) => tone.PROPHOTO.encode(linear),
  "prophoto.enc.18.8": ({ linear }) => 255 * tone.PROPHOTO.encode(linear),
  "scene.sunny16": (inputs) => tone.exposureValue100(settings(inputs)),
  "series.f.half": ({ nominal }) => valuesOf(tone.MARKED_SERIES.half.aperture, nominal),
  "series.f.third": ({ nominal }) => valuesOf(tone.MARKED_SERIES.third.aperture, nominal),
  "series.iso.third": ({ nominal }) => valuesOf(tone.MARKED_SERIES.third.iso, nominal),
  "series.t.half": ({ nominalDenominator }) =>
    valuesOf(tone.MARKED_SERIES.half.shutterSeconds, nominalDenominator.map(reciprocal)),
  "series.t.third": ({ nominalDenominator }) =>
    valuesOf(tone.MARKED_SERIES.third.shutterSeconds, nominalDenominator.map(reciprocal)),
  "series.t.third.long": ({ nominalSeconds }) =>
    valuesOf(tone.MARKED_SERIES.third.shutterSeconds, nominalSeconds),
  "srgb.code.": ({ code }) => tone.SRGB.linearise(code / 255),
  "srgb.dec.half": ({ encoded }) => tone.SRGB.linearise(encoded),
  "srgb.enc.18": ({ linear }) => tone.SRGB.encode(linear),
  "srgb.join.0.0031308": ({ x }) => tone.SRGB.encode(x),
  "srgb.join.0.04045": ({ x }) => tone.SRGB.linearise(x),
  "srgb.stop.": ({ stops }) => tone.toneFromStops(stops).srgbCode ?? Number.NaN,
  "stops.": ({ a, b }) => tone.stopsBetween(a, b),
  "unit.fL": () => tone.FOOTLAMBERT,
  "unit.fc": () => tone.FOOTCANDLE,
  "yrow.": ({ primaries, white }) => tone.luminanceRowFromPrimaries(primaries, white),
  "zone.": ({ zone }) => 100 * tone.toneFromZone(zone).reflectance,
  "zone.clip.sat": () => tone.ZONE_AT_SENSOR_SATURATION,
  "zone.clip.srgb": () => tone.ZONE_AT_DISPLAY_WHITE,
};

/** The tone of the chart that a printed rule of thumb is about. */
const ruleTones: Readonly<Record<string, string>> = {
  "rule.snow.tong": "snow",
  "rule.snow.dcv": "snow",
  "rule.snow.ruether": "snow",
  "rule.snow.spot": "snow",
  "rule.darkfoliage.manual": "dark-foliage",
  "rule.black.dcv": "black-fur",
  "rule.coat": "dark-coat",
  "rule.white.obj": "white-cloth",
  "rule.black.obj": "black-cloth",
  "rule.skin": "light-skin",
  "rule.grass.ruether": "lawn",
  "rule.grass.common": "lawn",
  "rule.northsky": "north-sky",
  "rule.coal": "coal",
  "rule.sand": "white-sand",
};

/** Our share of the picture for a metering area that is published as a range. */
const areaShares: Readonly<Record<string, number>> = {
  "metering.partial": tone.PARTIAL_SHARE,
  "metering.spot": tone.SPOT_SHARE,
};

/** Rows that ask nothing of the tone arithmetic, and why; keyed like {@link answers}. */
const definitionsOnly: Readonly<Record<string, string>> = {
  "apex.formula.": "a formula: apex.av, apex.tv, apex.sv, bv and ev100 evaluate it",
  "apex.n.constant": "the older APEX constant; Exif's 1/3.125 is the one in use",
  "bracket.": "the shape of a bracket, which is no tone",
  "chart.Y.": "measured patches: the input of chart.steps",
  "chart.density": "printed densities: the input of chart.density.refl",
  "crf.": "sizes and weights of one method; recoverResponse solves its equation with other weights",
  "dng.": "how a raw file stores its levels; decoding is not tone arithmetic",
  "exif.": "what a metadata tag means; tone-core reads no files",
  handheld: "a rule about blur",
  "iptc.": "what a metadata field means; tone-core reads no files",
  "iso12232.headroom": "the rounded root of 2 that iso12232.18.over.141 uses unrounded",
  "iso12232.noise": "noise-based speeds, for background",
  "iso12232.sos.tol": "what the standard promises of a camera, not of arithmetic",
  "iso2720.K.common": "two values in use, of which ours is the one in the standard's range",
  "metering.cw.": "centre-weighting is unpublished but for its circle",
  "metering.circle.": "circles in millimetres; our spot and partial are shares of the picture",
  "mwg.": "what a metadata field means; tone-core reads no files",
  "rule.backlit.manual": "advice for a whole scene and not for a tone",
  "rule.card.": "how to correct a card reading, not a tone",
  "rule.snow.manual": "compensation for a whole bright scene and not for the snow in it",
  "scene.": "light levels of scenes: a band to judge settings by, not arithmetic",
  "xmp.": "names of metadata; tone-core reads no files",
};

describe("published values", () => {
  const answered = table.filter(
    ({ id }) => find(answers, id) && !find(definitionsOnly, id, keyOf(answers, id)),
  );

  test.each(named(answered))("%s: %s [%s]", (id, _quantity, _source, row) => {
    const answer = find(answers, id) as Answer;
    const received = [answer(row.inputs, row.id)].flat();
    const expected = [row.expected].flat().map((value) => numberOf(value));
    expect(received).toHaveLength(expected.length);
    expected.forEach((value, i) => {
      const room = row.tolerance + DOUBLE_ROUNDING * Math.max(1, Math.abs(value));
      expect(Math.abs((received[i] as number) - value), `${received[i]}`).toBeLessThanOrEqual(room);
    });
  });

  test.each(named(table.filter(({ id }) => id in ruleTones)))(
    "%s: the chart agrees on %s [%s]",
    (id, _quantity, _source, { expected, tolerance }) => {
      const [from, to] = expected as [number, number];
      const chart = tone.findTone(ruleTones[id] as string);
      const gap = Math.max(from - chart.to, chart.from - to, 0);
      expect(gap).toBeLessThanOrEqual(tolerance + DOUBLE_ROUNDING);
    },
  );

  test.each(named(table.filter(({ id }) => id in areaShares)))(
    "%s: our share lies in the %s [%s]",
    (id, _quantity, _source, { expected }) => {
      const [from, to] = expected as [number, number];
      expect(100 * (areaShares[id] as number)).toBeGreaterThanOrEqual(from);
      expect(100 * (areaShares[id] as number)).toBeLessThanOrEqual(to);
    },
  );

  test("every row is put to the test, or is a definition that says so", () => {
    const asked = new Set([
      ...answered.map(({ id }) => id),
      ...Object.keys(ruleTones),
      ...Object.keys(areaShares),
    ]);
    const unasked = table.filter(({ id }) => !asked.has(id) && !find(definitionsOnly, id));
    expect(unasked.map(({ id }) => id)).toEqual([]);
    expect(new Set(table.map(({ id }) => id)).size).toBe(table.length);
  });

  test("every answer, rule and definition belongs to a row", () => {
    const used = new Set(
      table.flatMap(({ id }) => [keyOf(answers, id), keyOf(definitionsOnly, id), id]),
    );
    const keys = [answers, definitionsOnly, ruleTones, areaShares].flatMap((record) =>
      Object.keys(record),
    );
    expect(keys.filter((key) => !used.has(key))).toEqual([]);
  });

  test.each(table.filter(({ id }) => id.startsWith("series.")))(
    "$id: marked values stand for the exact ones to all printed digits",
    (row) => {
      const received = (answers[row.id] as Answer)(row.inputs, row.id) as readonly number[];
      (row.expected as number[]).forEach((value, i) => {
        expect(received[i]).toBeCloseTo(value, 5);
      });
    },
  );

  test.each([
    ["lv.file.slr", 7],
    ["lv.file.raw8", 8],
    ["lv.file.flat60", 11],
  ])("%s: marked settings come to a whole exposure value once they are exact", (id, ev) => {
    const recorded = settings(table.find((row) => row.id === id)?.inputs);
    expect(tone.exposureValue100(tone.exactSettings(recorded))).toBeCloseTo(ev, 12);
  });

  test.each(["lv.file.compact64", "lv.file.compact50", "lv.file.raw36", "lv.file.phone"])(
    "%s: settings that are on no list stay as recorded",
    (id) => {
      const recorded = settings(table.find((row) => row.id === id)?.inputs);
      expect(tone.exactSettings(recorded)).toEqual({ ...recorded, series: null });
    },
  );
});

const COMMENT = /\/\*\*[\s\S]*?\*\//g;
const SOURCE_KEY = /\[([A-Z][A-Z0-9]+(?:-[A-Z0-9]+)*)\]/g;

describe("sources", () => {
  const sources = read("../packages/tone-core/SOURCES.md");
  const listed = new Set([...sources.matchAll(/^\| ([A-Z0-9-]+) +\|/gm)].map((match) => match[1]));

  test("every source that the code cites is listed", () => {
    const folder = new URL("../packages/tone-core/src/", import.meta.url);
    const files = readdirSync(folder, { recursive: true, encoding: "utf8" });
    const comments = files
      .filter((file) => file.endsWith(".ts") && !file.endsWith(".test.ts"))
      .flatMap((file) => readFileSync(new URL(file, folder), "utf8").match(COMMENT) ?? []);
    const cited = comments.flatMap((comment) =>
      [...comment.matchAll(SOURCE_KEY)].map((match) => match[1] as string),
    );
    expect(cited.length).toBeGreaterThan(20);
    expect(cited.filter((key) => !listed.has(key))).toEqual([]);
  });

  test("every source that the chart names is listed", () => {
    const named = tone.TONE_CHART.flatMap(({ source }) => source ?? []);
    expect(named.filter((key) => !listed.has(key))).toEqual([]);
  });
});

describe("the table of published values", () => {
  test.skipIf(!referenceTable.path)(
    `agrees with the reference table beside the checkout${referenceTable.skipped}`,
    () => {
      const figures = (row: PublishedValue): unknown => {
        const { id, inputs, expected, tolerance, unit, obtained } = row;
        return { id, inputs, expected, tolerance, unit, obtained };
      };
      const reference: readonly PublishedValue[] = JSON.parse(
        readFileSync(referenceTable.path as string, "utf8"),
      );
      expect(table.map(figures)).toEqual(reference.map(figures));
    },
  );
});

/** Rows with what a test's title says of them: id, quantity and source. */
function named(rows: readonly PublishedValue[]): [string, string, string, PublishedValue][] {
  return rows.map((row) => [row.id, row.quantity, row.source, row]);
}

/** The key of a record that an id falls under: itself, or the longest beginning that ends in a dot. */
function keyOf(record: Readonly<Record<string, unknown>>, id: string): string | undefined {
  if (id in record) return id;
  return Object.keys(record)
    .filter((key) => key.endsWith(".") && id.startsWith(key))
    .sort((a, b) => b.length - a.length)[0];
}

/** What a record holds for an id, if it says more of it than another key does. */
function find<T>(record: Readonly<Record<string, T>>, id: string, than = ""): T | undefined {
  const key = keyOf(record, id);
  return key !== undefined && key.length > than.length ? record[key] : undefined;
}

function read(path: string): string {
  return readFileSync(new URL(path, import.meta.url), "utf8");
}

/** Published settings go by two sets of letters, and times may be fractions. */
function settings(inputs: PublishedValue["inputs"]): tone.Settings {
  return {
    aperture: inputs.fNumber ?? inputs.N,
    shutterSeconds: fraction(inputs.time ?? inputs.t),
    iso: inputs.iso ?? inputs.S,
  };
}

function fraction(text: string | number): number {
  const [over, under = 1] = String(text).split("/").map(Number);
  return (over as number) / under;
}

/** Expected numbers may be printed as thirds. */
function numberOf(value: unknown): number {
  return typeof value === "string" ? tone.parseStops(value) : (value as number);
}

function reciprocal(value: number): number {
  return 1 / value;
}

function densities(values: readonly number[]): tone.Tone[] {
  return values.map(tone.toneFromDensity);
}

/** Stops between neighbours of a falling series. */
function stepsDown(luminances: readonly number[]): number[] {
  return luminances.slice(1).map((below, i) => tone.stopsBetween(luminances[i] as number, below));
}

function valuesOf(list: readonly tone.MarkedValue[], marked: readonly number[]): number[] {
  return marked.map((mark) => list.find((entry) => entry.marked === mark)?.value ?? Number.NaN);
}

function timeThatSuits(luminance: number, aperture: number, iso: number): tone.Settings {
  const ev = tone.exposureValueFromLuminance(luminance, iso);
  const shutterSeconds = tone.secondsFromValue(ev - tone.apertureValue(aperture));
  return { aperture, shutterSeconds, iso };
}

/** Luminances of a profile's colorants: those of the space, adapted to the connection space. */
function colorantLuminances(profile: string): number[] {
  const [space, white] = {
    "sRGB.icm": ["srgb", tone.D65_XY] as const,
    "ClayRGB1998.icm": ["adobeRgb", tone.D65_XY] as const,
    "DisplayP3.icm": ["displayP3", tone.D65_XY] as const,
    "ProPhoto.icm": ["proPhoto", tone.D50_XY] as const,
  }[profile] as [tone.RgbSpaceName, tone.Chromaticity];
  return tone.PRIMARIES[space].map((primary, i) => {
    const luminance = tone.LUMINANCE_ROWS[space][i as 0 | 1 | 2];
    return tone.adaptXyz(xyzOf(primary, luminance), xyzOf(white, 1), tone.D50)[1];
  });
}

function xyzOf([x, y]: tone.Chromaticity, luminance: number): tone.Xyz {
  return [(luminance * x) / y, luminance, (luminance * (1 - x - y)) / y];
}
