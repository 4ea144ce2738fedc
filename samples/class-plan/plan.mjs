/**
 * An invented class of six students: what each was asked, and what is wrong with what they handed in.
 *
 * @typedef {import("./window.mjs").Window} Window
 *
 * @typedef {object} TaskPlan
 * @property {string} id
 * @property {string} view
 * @property {import("../camera/meter.mjs").MeteringPattern} pattern
 * @property {string} aperture - marked
 * @property {string} iso - marked
 * @property {string} region - as in a brief
 * @property {[number, number]} wanted - where the subject belongs, stops
 * @property {number} right - compensation that places it, stops
 * @property {number} frames - that the task asks for
 *
 * @typedef {object} ExercisePlan
 * @property {string} id
 * @property {string} day - on which the class was out, "2025-06-11"
 * @property {readonly TaskPlan[]} tasks
 *
 * @typedef {object} StudentPlan
 * @property {string} code
 * @property {Window} window
 * @property {string} model - of the camera
 * @property {number} clockYears - by how many years its clock is ahead; negative is behind
 * @property {(task: TaskPlan, week: number) => number} compensation - stops, what the student sets
 */

/** @type {readonly ExercisePlan[]} */
export const EXERCISES = [
  {
    id: "week1",
    day: "2025-06-11",
    tasks: [
      {
        id: "tar",
        view: "hull",
        pattern: "spot",
        aperture: "f/8",
        iso: "100",
        region: "spot",
        wanted: [-2, -1.5],
        right: -2,
        frames: 2,
      },
      {
        id: "slate",
        view: "slip",
        pattern: "average",
        aperture: "f/8",
        iso: "100",
        region: "box:0.4,0.4,0.2,0.2",
        wanted: [0, 0],
        right: 0,
        frames: 1,
      },
    ],
  },
  {
    id: "week2",
    day: "2025-06-18",
    tasks: [
      {
        id: "limewash",
        view: "limewash",
        pattern: "average",
        aperture: "f/11",
        iso: "100",
        region: "box:0.4,0.4,0.2,0.2",
        wanted: [1.5, 2],
        right: 5 / 3,
        frames: 2,
      },
      {
        id: "moss",
        view: "bank",
        pattern: "spot",
        aperture: "f/8",
        iso: "100",
        region: "spot",
        wanted: [0, 0],
        right: 0,
        frames: 1,
      },
    ],
  },
  {
    id: "week3",
    day: "2025-06-25",
    tasks: [
      {
        id: "sailcloth",
        view: "sail",
        pattern: "spot",
        aperture: "f/11",
        iso: "100",
        region: "spot",
        wanted: [1.5, 2],
        right: 5 / 3,
        frames: 2,
      },
      {
        id: "rope",
        view: "rope",
        pattern: "spot",
        aperture: "f/5.6",
        iso: "400",
        region: "spot",
        wanted: [-2, -1.5],
        right: -5 / 3,
        frames: 1,
      },
    ],
  },
];

/** Whoever turns the dial the wrong way darkens what is dark already, and lightens what is light. */
const WRONG_WAY = -1 / 2;

/** @type {readonly StudentPlan[]} */
export const STUDENTS = [
  {
    code: "s01",
    window: { share: 0.72, x: 0.5, y: 0.5 },
    model: "Harbour model camera",
    clockYears: 0,
    compensation: ({ right }) => right,
  },
  {
    // Improves: follows the meter first, goes half of the way next, and arrives.
    code: "s02",
    window: { share: 0.62, x: 0.25, y: 0.35 },
    model: "Harbour model camera",
    clockYears: 0,
    compensation: ({ right }, week) => thirds(right * ([0, 0.45, 1][week] ?? 1)),
  },
  {
    // Repeats: turns the dial the wrong way, week after week.
    code: "s03",
    window: { share: 0.8, x: 0.8, y: 0.6 },
    model: "Quay model camera",
    clockYears: 0,
    compensation: ({ right }) => thirds(right * WRONG_WAY),
  },
  {
    code: "s04",
    window: { share: 0.66, x: 0.8, y: 0.25 },
    model: "Quay model camera",
    clockYears: 0,
    compensation: ({ right }) => right,
  },
  {
    // The clock of this camera was never set.
    code: "s05",
    window: { share: 0.9, x: 0.15, y: 0.75 },
    model: "Slip model camera",
    clockYears: -10,
    compensation: ({ right }, week) => (week === 1 ? 0 : right),
  },
  {
    code: "s06",
    window: { share: 0.58, x: 0.55, y: 0.7 },
    model: "Slip model camera",
    clockYears: 0,
    compensation: ({ right }) => right,
  },
];

/** What else is planted, by the file that it happens to: `student/exercise/name`. */
export const PLANTED = {
  /** Taken this many hours after the class came home, and so after the exercise was due. */
  late: { "s04/week2": 40 },
  /** Never handed in. */
  missing: ["s05/week3/sailcloth-2.jpg"],
  /** Whole hand-ins that are not there. */
  absent: ["s04/week1"],
  /** One frame more than was asked. */
  surplus: { "s02/week2/limewash-3.jpg": "s02/week2/limewash-2.jpg" },
  /** The same bytes as another student's file. */
  sameBytes: { "s06/week3/rope-1.jpg": "s04/week3/rope-1.jpg" },
  /** Another student's picture, scaled and encoded again. */
  samePicture: { "s06/week2/limewash-2.jpg": "s01/week2/limewash-2.jpg" },
  /** Without its metadata, as messaging programs leave it. */
  stripped: ["s05/week2/moss-1.jpg"],
};

/**
 * The nearest third of a stop, as cameras set it.
 *
 * @param {number} stops
 */
function thirds(stops) {
  return Math.round(3 * stops) / 3;
}
