/** Beginnings of names that cameras, phones and messaging programs give. */
const BEGINNINGS =
  "img|imgp|dsc|dscn|dscf|dcp|dcim|mg|crw|cimg|hpim|im|pxl|mvimg|pano|burst|photo|image|pict|sam|gopr|dji|whatsapp|signal|received|screen|screenshot|bildschirmfoto";

const BEGINNING = new RegExp(`^(?:${BEGINNINGS})\\d{0,12}$`, "iu");

/** A counter after one letter; short ones may be codes of students. */
const COUNTER = /^p\d{6,8}$/iu;

/** A day of this century, as phones write it. */
const DAY = /^20\d{2}[.-]?(?:0[1-9]|1[0-2])[.-]?(?:[0-2]\d|3[01])$/u;

/** Whether a word of a file's name comes from a camera, and tells nothing of who took the picture or what for. */
export function isCameraName(word: string): boolean {
  return BEGINNING.test(word) || COUNTER.test(word) || DAY.test(word);
}
