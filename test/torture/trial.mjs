/**
 * What a fault is tried with.
 *
 * @typedef {object} Trial
 * @property {string} folder - an empty one, removed after the trial
 * @property {(name: string, bytes: Uint8Array) => Promise<void>} keep - keeps a file that broke a promise
 * @property {string | null} corpus - folder of real photographs
 * @property {boolean} short
 * @property {number} seed
 */

/**
 * What happened.
 *
 * @typedef {{ held?: boolean, what?: string, broken?: string[], skipped?: string }} Outcome
 */

/**
 * A fault: how Tonefall is tried, and what it promises then.
 *
 * @typedef {object} Fault
 * @property {string} name
 * @property {string} promise
 * @property {boolean} [slow] - left out of the short form
 * @property {(trial: Trial) => Promise<Outcome>} run
 */

export {};
