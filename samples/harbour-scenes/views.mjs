/**
 * Where the camera stands for each frame, and the parts of the picture that have a name.
 *
 * Regions are written as in a brief, in fractions of the upright picture.
 *
 * @typedef {import("./render.mjs").View & { regions: Record<string, string> }} NamedView
 */
import { LIGHTS } from "./light.mjs";

/** @type {Record<string, NamedView>} */
export const VIEWS = {
  hull: {
    eye: [-5.6, 2.25, 4.1],
    towards: [-6.4, 1.98, -0.2],
    focalLengthMillimetres: 50,
    light: LIGHTS.sun,
    regions: { "tarred hull": "spot", quay: "box:0.6,0.84,0.3,0.12" },
  },
  slip: {
    eye: [0.9, 2.75, 3.4],
    towards: [0.1, 0.5, 0],
    focalLengthMillimetres: 35,
    light: LIGHTS.sun,
    regions: { "slate slip": "box:0.3,0.25,0.5,0.5" },
  },
  limewash: {
    eye: [0.9, 2.3, 4.5],
    towards: [0.2, 4.4, -3],
    focalLengthMillimetres: 100,
    light: LIGHTS.sun,
    regions: { limewash: "box:0.25,0.3,0.5,0.45" },
  },
  harbour: {
    eye: [2.2, 3.4, 15.5],
    towards: [-2.4, 1.9, -3],
    focalLengthMillimetres: 28,
    light: LIGHTS.sun,
    regions: {
      "moss bank": "box:0.88,0.59,0.1,0.05",
      limewash: "box:0.56,0.32,0.07,0.06",
      "slate slip": "box:0.55,0.6,0.12,0.08",
      water: "box:0.1,0.75,0.3,0.15",
      sky: "box:0.1,0.1,0.3,0.1",
      "tarred hull": "polygon:0.26,0.46 0.42,0.46 0.41,0.52 0.28,0.52",
    },
  },
  bank: {
    eye: [1.2, 2.5, 8.5],
    towards: [5.8, 0.82, 0],
    focalLengthMillimetres: 35,
    light: LIGHTS.sun,
    regions: { moss: "spot" },
  },
  boathouse: {
    eye: [1.2, 2.5, 8.5],
    towards: [0, 4.5, -3],
    focalLengthMillimetres: 38,
    light: LIGHTS.sun,
    regions: { limewash: "spot", "blue door": "box:0.28,0.72,0.06,0.1" },
  },
  doorway: {
    eye: [0.2, 2.3, 6],
    towards: [0, 2.5, -3],
    focalLengthMillimetres: 30,
    light: LIGHTS.sun,
    regions: {
      limewash: "box:0.44,0.2,0.15,0.1",
      interior: "spot",
      "slate slip": "box:0.35,0.74,0.3,0.1",
    },
  },
  "slip-and-boathouse": {
    eye: [2.4, 2.9, 8.6],
    towards: [-1.0, 2.6, -3],
    focalLengthMillimetres: 32,
    light: LIGHTS.sun,
    regions: {
      limewash: "box:0.41,0.35,0.05,0.05",
      gable: "box:0.54,0.24,0.12,0.11",
      "slate slip": "box:0.42,0.76,0.26,0.16",
      "tarred hull": "box:0.1,0.52,0.12,0.06",
      buoy: "circle:0.198,0.69,0.03",
    },
  },
  "buoy-and-net": {
    eye: [-3.4, 2.1, 3.9],
    towards: [-3.62, 1.42, 0.8],
    focalLengthMillimetres: 50,
    light: LIGHTS.overcast,
    regions: { buoy: "circle:0.76,0.53,0.11", net: "box:0.14,0.46,0.28,0.34" },
  },
  sail: {
    eye: [5.4, 2.6, 5.2],
    towards: [6.5, 3.25, -0.6],
    focalLengthMillimetres: 50,
    portrait: true,
    light: LIGHTS.sun,
    regions: { sailcloth: "box:0.2,0.28,0.6,0.35" },
  },
  rope: {
    eye: [-9.0, 2.7, 8.1],
    towards: [-9.2, 1.0, 6.6],
    focalLengthMillimetres: 55,
    portrait: true,
    light: LIGHTS.overcast,
    regions: { "wet rope": "spot" },
  },
  window: {
    eye: [1.6, 2.2, 3.5],
    towards: [1.6, 2.7, -3],
    focalLengthMillimetres: 50,
    light: LIGHTS.dusk,
    regions: { "lit window": "box:0.548,0.42,0.13,0.26", limewash: "box:0.55,0.12,0.18,0.2" },
  },
  jetty: {
    eye: [-7.0, 2.6, 13.5],
    towards: [-9.2, 0.9, 6],
    focalLengthMillimetres: 40,
    light: LIGHTS.overcast,
    regions: { "weathered jetty": "polygon:0.32,0.65 0.55,0.62 0.53,0.76 0.2,0.86" },
  },
};
