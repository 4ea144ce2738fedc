// @ts-check

/** The binding no longer does what its alterations rely on. */
export class BindingChanged extends Error {
  /** @override */
  name = "BindingChanged";

  /** @param {string} what */
  constructor(what) {
    super(`libraw-wasm ${what}; adapt libRawBinding.mjs to the installed version`);
  }
}
