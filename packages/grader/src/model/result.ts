import type { ExposureFields, Field, ReadingComparison } from "@tonefall/exif-reader";
import type { Bound, CodeHistogram, Histogram, Verdict } from "@tonefall/tone-core";
import type { Cause } from "./cause.ts";
import type { Feedback, Voice } from "./feedback.ts";
import type { LightSanity, MissSplit, Reading } from "./metering.ts";
import type { NextSettings } from "./nextSettings.ts";
import type { Note } from "./note.ts";
import type { Sampling } from "./precision.ts";
import type { Headroom, StatedSensor } from "./sensor.ts";

/** Version of the shape of results; raised by every change that breaks a reader. */
export const SCHEMA_VERSION = 1;

/** Which kind of stops a number is in: from the settings alone, what the picture shows, or light on the sensor. */
export type Basis = "settings" | "rendered" | "scene";

/** A recorded setting, and the exact value that a marked one stands for (f/5.6 is 2^2.5). */
export type ExposureField<T> = Field<T> & {
  /** The exact value, in the unit of the recorded one; left out where there is none beside it. */
  readonly exact?: T;
};

/** The exposure record as results carry it: every field of the reader's, with the exact settings beside. */
export type Exposure = {
  readonly [K in keyof ExposureFields]: ExposureFields[K] extends Field<infer T>
    ? ExposureField<T>
    : never;
};

/** One row of a run of `read`: a file and its exposure record. */
export interface ReadResult {
  /** The path as given, with forward slashes; `(bytes)` for bytes. */
  readonly file: string;
  /** The container's format by its content: `jpeg`, `tiff`, `dng` ...; null where it is not known. */
  readonly format: string | null;
  /** Null where the file could not be read at all. */
  readonly exposure: Exposure | null;
  /** What the settings let in, log2(t / N²) + log2(ISO / 100), stops; null where a setting is missing. */
  readonly givenExposure: number | null;
  /** What a reader of the row should know; often empty. */
  readonly notes: readonly Note[];
  /** Why the file could not be read; null where it could. */
  readonly failure: Note | null;
  /** What a raw file states of its sensor; of `read` rows of raw files, null where it cannot be opened. */
  readonly statedSensor?: StatedSensor | null;
  /** What exifr reads of the main settings, beside the record; left out unless asked for, and where the file failed. */
  readonly secondReading?: ReadingComparison;
}

/** Where the subject's tone was meant to land. */
export interface Placement {
  /** Stops from middle grey, the darker end. */
  readonly from: number;
  /** Stops from middle grey, the lighter end; equal to `from` for a single tone. */
  readonly to: number;
  /** The placement as it was asked for. */
  readonly text: string;
}

/** Where the subject's tone fell, in stops from middle grey on the row's basis. */
export interface Fall {
  /** Of the mean linear luminance of the region, since a meter integrates light. */
  readonly stops: number;
  /** Of the median luminance, which stands while under half of the region is clipped. */
  readonly median: number;
  /** Of the fifth percentile of luminance: the shadows of the region. */
  readonly p5: number;
  /** Of the ninety-fifth percentile of luminance: its lights. */
  readonly p95: number;
  /** Whether `stops` is censored: over 1 % of the region clipped, or over half of it black. */
  readonly bound: Bound | null;
}

/** A fall, and how well it is known. */
export interface KnownFall extends Fall {
  /** One standard deviation of `stops`, in stops. */
  readonly uncertainty: number;
  /** What the uncertainty is made of, stops, one standard deviation each. */
  readonly uncertaintyParts: Readonly<Record<string, number>>;
}

/** By how many stops the tone missed its placement. */
export interface ExposureError {
  /** Fall minus placement, 0 inside a range; + is over-exposed, − under-exposed. */
  readonly stops: number;
  /** The same by the region's median, which stands while under half of the region is clipped. */
  readonly median: number;
  /** One standard deviation, stops. */
  readonly uncertainty: number;
  /** What the uncertainty is made of, stops, one standard deviation each. */
  readonly uncertaintyParts: Readonly<Record<string, number>>;
  /** Whether the true error is at least or at most `stops`; null where it is neither. */
  readonly bound: Bound | null;
  /** Which figure the verdict rests on: `median` where the mean is only a bound that settles nothing. */
  readonly decidedBy: "mean" | "median";
}

/** Pixels at the ends of the scale, as shares of the region in [0, 1]. */
export interface ClippedShare {
  /** Pixels with at least one clipped channel. */
  readonly share: number;
  /** The same channel by channel. */
  readonly channels: readonly {
    /** `red`, `green`, `blue` or `grey`; a sensor's with a number where a colour repeats, such as `green 2`. */
    readonly name: string;
    /** Pixels that are clipped in this channel. */
    readonly share: number;
  }[];
}

/** Histograms of a row's region. */
export interface FrameHistograms {
  /** By relative luminance, equal steps. */
  readonly linear: Histogram;
  /** By stops from middle grey. */
  readonly stops: Histogram;
  /** By encoded code of luminance; null for a sensor. */
  readonly encoded: Histogram | null;
  /** By stored code, channel by channel. */
  readonly channels: readonly CodeHistogram[];
}

/** What only a sensor's own values can say: codes before white balance, without a curve. */
export interface SensorResult {
  /** The sensor's colour filters. */
  readonly filters: {
    /** `bayer`, `x-trans`, another `mosaic`, `monochrome`, or `demosaiced` where every pixel has all colours. */
    readonly kind: string;
    /** Initials of the filters in reading order, such as `RGGB`; empty without a mosaic. */
    readonly pattern: string;
  };
  /** Where the black levels come from. */
  readonly blackFrom: string;
  /** `data` where the samples pile up below the stated white, which is then the white that counts. */
  readonly whiteFrom: string;
  /** As-shot white balance of red, green and blue, green = 1. */
  readonly asShotMultipliers: readonly number[];
  /** Stops that the file asks a renderer to add; reported, never applied. */
  readonly baselineExposureStops: number | null;
  /** Where middle grey was taken to sit. */
  readonly middleGrey: {
    /** Relative to saturation, in (0, 1). */
    readonly shareOfSaturation: number;
    /** The same in stops, > 0. */
    readonly stopsBelowSaturation: number;
    /** One standard deviation, stops. */
    readonly uncertainty: number;
  };
  /** Over the whole frame. */
  readonly channels: readonly SensorChannel[];
  /** Room above the region before its first channel clips. */
  readonly roomAboveRegion: Headroom;
  /** How much more light the frame could have had, a thousandth of its samples let go. */
  readonly roomAboveFrame: Headroom;
}

/** What the raw and the rendered file of one shot say together. */
export interface ShotPair {
  /** The raw file, as its row names it. */
  readonly raw: string;
  /** The rendered file, as its row names it. */
  readonly rendered: string;
  /** Whether the region clips in the rendering while the sensor still holds it. */
  readonly clippedOnlyInRendering: boolean;
  /** Where this rendering puts middle grey on the sensor; null where the region does not show it. */
  readonly renderedMiddleGrey: {
    /** Relative to the saturation of the sensor, > 0. */
    readonly shareOfSaturation: number;
    /** Stops from the middle grey that the raw row was graded with. */
    readonly stopsFromAssumed: number;
    /** One standard deviation, stops. */
    readonly uncertainty: number;
  } | null;
}

/** One colour filter channel of a sensor. */
export interface SensorChannel {
  /** Its name: `red`, `green 1`, `green 2`, `blue`, or `grey` without filters. */
  readonly channel: string;
  /** How many samples it has. */
  readonly samples: number;
  /** In codes. */
  readonly blackLevel: number;
  /** Lowest clipped code. */
  readonly whiteLevel: number;
  /** Samples at or above the white level. */
  readonly clipped: number;
  /** Share of samples that are clipped, in [0, 1]. */
  readonly clippedShare: number;
  /** Samples less than a sixth of a stop below white. */
  readonly nearClipping: number;
  /** Share of samples whose signal is below the noise at black; null where that noise is not known. */
  readonly belowNoiseFloor: number | null;
  /** Counts of samples; left out unless asked for. */
  readonly histograms?: {
    /** 256 equal steps from black to white. */
    readonly linear: readonly number[];
    /** Thirds of a stop, from saturation down; the last holds all that is darker. */
    readonly stopsBelowSaturation: readonly number[];
  };
}

/** One row of a run of `grade`: a frame, what it was asked to show, and what it shows. */
export interface FrameResult extends ReadResult {
  /** Basis of every stop in the row; null where nothing was measured. */
  readonly basis: Basis | null;
  /** The decoded picture; null where nothing was decoded. */
  readonly picture: {
    /** Upright width, pixels. */
    readonly width: number;
    /** Upright height, pixels. */
    readonly height: number;
    /** Bits of a stored sample that carry tone: 8 for most JPEGs, 10 to 16 for sensors. */
    readonly bits: number;
    /** What the codes mean, and how that is known. */
    readonly colour: string;
    /** `icc`, `cicp`, `png` or `exif` where the file says so; else `assumed`, `converted` or `sensor`. */
    readonly colourFrom: string;
    /** Relative luminance of middle grey: 0.18 of display white, or its share of sensor saturation. */
    readonly middleGrey: number;
    /**
     * Where the file's own scale was found to end below full scale, so that what piles up there counts as clipped; left
     * out where it ends at full scale.
     */
    readonly scaleEnd?: {
      /** The code at which each channel ends, in the order of `clipped.channels`. */
      readonly codes: readonly number[];
      /** The code of full scale. */
      readonly fullScale: number;
      /** Share of the whole picture's pixels at those codes, in [0, 1]. */
      readonly share: number;
      /** Relative luminance of those codes, in (0, 1]. */
      readonly luminance: number;
    };
  } | null;
  /** The region in its text form, fractions of the upright picture. */
  readonly region: string | null;
  /** Pixels of the region. */
  readonly pixels: number | null;
  /** Null where the brief asks for none. */
  readonly placement: Placement | null;
  /** The largest error that still counts as within, stops; null where neither the brief nor a measurement sets one. */
  readonly tolerance: number | null;
  /** Null where nothing shows it: no picture, or no settings for a claim about those. */
  readonly fall: KnownFall | null;
  /** Null without a placement, or without a fall. */
  readonly error: ExposureError | null;
  /** Null without a placement. */
  readonly verdict: Verdict | null;
  /** What the meter did; null without an error, or where the recorded pattern cannot be simulated. */
  readonly split: MissSplit | null;
  /** Why it missed, the best supported cause first; empty where it did not miss. */
  readonly causes: readonly Cause[];
  /** What to set next; null where it did not miss. */
  readonly next: NextSettings | null;
  /** The grade in words, when asked for; null without a verdict. */
  readonly feedback?: Feedback | null;
  /** The measured kit that turned codes into light; left out where there was none. */
  readonly kit?: KitUse;
  /** Null where no pixels were measured. */
  readonly clipped: ClippedShare | null;
  /** Pixels without any tone, black in every channel; null where no pixels were measured. */
  readonly crushed: {
    /** Share of the region in [0, 1]. */
    readonly share: number;
  } | null;
  /** Which figures some pixels stand for, and how well; null where every pixel was counted, or none. */
  readonly sampling: Sampling | null;
  /** Left out unless asked for. */
  readonly histograms?: FrameHistograms;
  /**
   * What the picture looks like from far away: luminance of 16 by 16 parts, a byte each, hexadecimal. Left out unless asked
   * for, and where nothing was decoded.
   */
  readonly likeness?: string;
  /** What only a raw file can say; null for a rendered picture, and where nothing was decoded. */
  readonly sensor: SensorResult | null;
  /** On the second row of a raw and rendered pair of one shot. */
  readonly pair?: ShotPair;
  /** What each metering pattern sees; of metered rows. */
  readonly readings?: readonly Reading[];
  /** What light the settings suit; of metered rows, null where a setting is missing. */
  readonly light?: LightSanity | null;
  /** Where the row stands in a run that was split; left out where the run was not. */
  readonly shard?: RowShard;
  /** The result file that the row comes from, where `merge` joined several runs; left out where it did not. */
  readonly run?: string;
  /**
   * What a report shows of the picture, as `grade --for-report` keeps it for the report that `merge` writes; left out
   * unless asked for. Its shape may change with any version.
   */
  readonly view?: object;
}

/** Where a row stands in a run that was split into parts. */
export interface RowShard {
  /** Which part it is of, from 1. */
  readonly index: number;
  /** How many parts there are. */
  readonly of: number;
  /** Place of its frame in the whole run, from 1. */
  readonly place: number;
  /** Frames of the whole run. */
  readonly frames: number;
  /** Place of the part's first frame. */
  readonly first: number;
  /** Place of the part's last frame. */
  readonly last: number;
  /** The folder that all files of the run lie in, as this part's run named it, its slash included; empty for none. */
  readonly folder: string;
  /** Digest of the run: its files as named from their folder, briefs, options and version. Parts of one run agree on it. */
  readonly run: string;
  /** Whom the grades in words address; null without words. */
  readonly voice: Voice | null;
  /** SHA-256 of the rest of the row, hexadecimal; a row that does not match it is refused. */
  readonly sum: string;
}

/** The measured kit that a frame was graded with. */
export interface KitUse {
  /** The kit file. */
  readonly file: string;
  /** What of it was used. */
  readonly used: "curve" | "middle-grey" | "sensor-middle-grey";
  /** One standard deviation of where middle grey lies, stops. */
  readonly middleGreyUncertainty: number;
  /** One standard deviation of the curve where the tone fell, stops. */
  readonly curveUncertainty: number;
}

/** Counts over a run. */
export interface RunSummary {
  /** Rows of the run. */
  readonly frames: number;
  /** Judged to be within their tolerance. */
  readonly within: number;
  /** Judged over-exposed. */
  readonly over: number;
  /** Judged under-exposed. */
  readonly under: number;
  /** Too uncertain to judge. */
  readonly undecided: number;
  /** Measured, but with no placement to judge by. */
  readonly withoutPlacement: number;
  /** Not graded; their rows give the reason. */
  readonly failed: number;
}
