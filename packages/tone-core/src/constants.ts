import { squared } from "./exact/exactMath.ts";
/** Reflectance of middle grey, and so its luminance in a rendered picture whose white is 1. [MIDDLE-GREY] */
export const MIDDLE_GREY = 0.18;

/**
 * Middle grey as a share of sensor saturation, 12.8 %: the metered exposure 10/S over the saturating one 78/S of the
 * saturation-based speed. Real cameras differ, so a measured value replaces it where there is one. [ISO12232]
 */
export const SENSOR_MIDDLE_GREY: number = 10 / 78;

/** Reflected-light meter constant K, cd·s·ISO/m²: the common value. [ISO2720] */
export const REFLECTED_METER_K = 12.5;
/** The range that the standard recommends for K, cd·s·ISO/m²: 10.6 to 13.4. [ISO2720] */
export const REFLECTED_METER_K_RANGE: readonly [number, number] = [10.6, 13.4];

/** Incident-light meter constant C, lx·s·ISO: the common value of a flat receptor. [ISO2720] */
export const INCIDENT_METER_C = 250;
/** The range that the standard recommends for C of a flat receptor, lx·s·ISO: 240 to 400. [ISO2720] */
export const INCIDENT_METER_C_FLAT_RANGE: readonly [number, number] = [240, 400];
/** The range that the standard recommends for C of a dome, lx·s·ISO: 320 to 540. [ISO2720] */
export const INCIDENT_METER_C_DOME_RANGE: readonly [number, number] = [320, 540];

/** Arithmetic speed at which the APEX speed value is zero. [APEX] [EXIF] */
export const SPEED_AT_ZERO = 3.125;

/** Saturation-based speed times saturating exposure, lx·s·ISO. [ISO12232] */
export const SATURATION_SPEED_CONSTANT = 78;
/** Exposure index times metered exposure, lx·s·ISO. [ISO12232] */
export const EXPOSURE_INDEX_CONSTANT = 10;
/** Focal-plane light over scene light for a usual lens: the rounded figure in use. [ISO12232] */
export const LENS_FACTOR = 0.65;

const METRES_PER_FOOT = 0.3048;

/** One footlambert in cd/m², 3.426: 1/π candela a square foot. Exact by the definition of the foot. [UNITS] */
export const FOOTLAMBERT: number = 1 / (Math.PI * squared(METRES_PER_FOOT));
/** One footcandle in lx, 10.76: a lumen a square foot. Exact by the definition of the foot. [UNITS] */
export const FOOTCANDLE: number = 1 / squared(METRES_PER_FOOT);
