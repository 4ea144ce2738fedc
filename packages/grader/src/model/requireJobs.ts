import { GraderError } from "./errors.ts";

/**
 * Refuses a number of jobs that no run can work with.
 *
 * @throws {@link GraderError} `bad-option` for anything but a whole number from 1
 */
export function requireJobs(jobs: number): void {
  if (Number.isInteger(jobs) && jobs >= 1) return;
  throw new GraderError(
    "bad-option",
    `Expected a whole number from 1 for jobs but received ${String(jobs).slice(0, 40)}`,
  );
}
