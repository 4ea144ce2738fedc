/*
 * How far figures may stand apart and still be taken as one. Our judgement, from the error budget: middle grey of an
 * unknown rendering is uncertain by 0.45 stop, a shutter that goes in thirds by 1/6.
 */

/** A reading so near to the compensation counts as followed, stops. */
export const FOLLOWED_STOPS: number = 2 / 3;

/** The same for the estimate of an unpublished weighting. */
export const FOLLOWED_ESTIMATE_STOPS = 1;

/** A departure up to this is as good as none. */
export const EXACTLY_FOLLOWED_STOPS: number = 1 / 3;

/** How well our reading of a pattern is that of the camera, one standard deviation: its calibration, its edges, its steps. */
export const READING_UNCERTAINTY = 0.3;

/** The same for the estimate of an unpublished weighting. */
export const READING_ESTIMATE_UNCERTAINTY = 0.5;

/** How well two frames of one light follow their settings, one standard deviation. */
export const STEP_UNCERTAINTY = 0.2;

/** Compensation and changes below this are none: less than the smallest step of a camera. */
export const SMALLEST_CHANGE_STOPS = 0.3;

/** Two frames of one subject and light agree within this. */
export const FRAMES_AGREE_STOPS: number = 1 / 3;

/** A change of light below this may be noise. */
export const LIGHT_CHANGE_STOPS = 0.5;

/** Two tones that one change of light moved may seem to have moved by amounts that differ by this share. */
export const LIGHT_CHANGE_SHARE = 0.3;

/** A miss up to this before a change counts as placed: a photographer would not have seen it. */
export const SMALL_MISS_STOPS: number = 2 / 3;

/** A subject this near to where its reading would have it, in light, may have been placed right and toned since. */
export const TONED_STOPS = 0.4;

/** A cause is named where the light missed with this chance, and not only the rendering. */
export const MISSED_CHANCE = 0.85;
