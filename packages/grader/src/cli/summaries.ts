/** What each command does, for the help of all commands, which loads none of them. */
export const SUMMARIES = {
  grade: "grade frames against a brief",
  meter: "show what each metering pattern reads",
  read: "read exposure records from metadata",
  tones: "show the chart of named tones",
  kit: "measure how a camera in one style renders light",
  check: "check that sample sets show what they claim",
  class: "mark what a class handed in, and show its progress",
  handout: "write a page on which students grade their own pictures",
  merge: "join results of grade, or the parts of a split run",
  "new-brief": "write a first brief file for a folder",
  "new-set": "write a first set file for a folder",
  expose: "make frames of any exposure from one raw file",
  cache: "show where graded rows are cached, and clear them",
  completion: "print a script that completes commands and options",
} as const;
