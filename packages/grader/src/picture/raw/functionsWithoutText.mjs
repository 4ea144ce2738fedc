// @ts-check
// LibRaw's binding writes two kinds of functions as text: some call the library, others the library calls. Here both are made
// without turning text into code, which a page's policy then need not allow. Every line of the text has to be a known one.
import { BindingChanged } from "./bindingChanged.mjs";

/** @typedef {(...given: any[]) => any} Any */

/**
 * A stand-in for the constructor `Function`, which makes what the binding writes and nothing else.
 *
 * @returns {typeof Function}
 */
export function functionsWithoutText() {
  return new Proxy(Function, {
    construct: (_, [names, text]) => {
      const lines = String(text).trim().split("\n");
      return names.includes("invoker")
        ? callingLibrary(names, lines)
        : calledByLibrary(names, lines);
    },
  });
}

/** Lines of a function that calls the library. */
const CALLING = [
  /^return function \([^()]*\) \{$/,
  /^var destructors = \[\];$/,
  /^var thisWired = toClassParamWire\((?:destructors|null), this\);$/,
  /^var arg(\d+)Wired = toArg\1Wire\((?:destructors|null), arg\1\);$/,
  /^(?:var rv = )?invoker\(fn(?:,thisWired)?(?:,arg\d+Wired)*\);$/,
  /^runDestructors\(destructors\);$/,
  /^(\w+)_dtor\(\1\);$/,
  /^var ret = fromRetWire\(rv\);$/,
  /^return ret;$/,
  /^\}$/,
];

/**
 * Converts what it is given, calls, frees what was made for the call, and converts the answer.
 *
 * @param {readonly string[]} names - of what the maker of the function is given
 * @param {readonly string[]} lines
 * @returns {Any}
 */
function callingLibrary(names, lines) {
  const unknown = lines.find((line) => !CALLING.some((known) => known.test(line)));
  if (unknown !== undefined) throw unlike(unknown);
  const collects = lines.includes("var destructors = [];");
  const isMethod = lines.some((line) => line.startsWith("var thisWired"));
  const answers = lines.includes("return ret;");
  const converters = names.filter((name) => /^toArg\d+Wire$/.test(name));
  const freeing = names.filter((name) => name.endsWith("_dtor"));
  return (...given) => {
    const use = byName(names, given);
    return function (/** @type {unknown[]} */ ...args) {
      const made = collects ? [] : null;
      /** @type {Record<string, unknown>} */
      const wired = {};
      // @ts-expect-error: a method of the library has the library's object for its `this`
      if (isMethod) wired["thisWired"] = use("toClassParamWire")(made, this);
      for (const [i, name] of converters.entries())
        wired[`arg${i}Wired`] = use(name)(made, args[i]);
      const answer = use("invoker")(use("fn"), ...Object.values(wired));
      if (collects) use("runDestructors")(made);
      for (const name of freeing) use(name)(wired[name.slice(0, -"_dtor".length)]);
      return answers ? use("fromRetWire")(answer) : undefined;
    };
  };
}

/** What the library calls: an object itself, as a constructor, or a method of it. */
const CALLED =
  /^(toValue\(handle\)|new \(toValue\(handle\)\)|toValue\(handle\)\[getStringOrSymbol\(methodName\)\])?\(((?:argFromPtr\d+\(args(?:\+\d+)?\),?)*)\)$/;

const ANSWERED = /^return emval_returnValue\(toReturnWire, destructorsRef, (.*)\)$/;

/** Bytes between the places of two arguments in the library's memory. */
const ARGUMENT_BYTES = 8;

/**
 * Reads its arguments from the library's memory, and calls.
 *
 * @param {readonly string[]} names
 * @param {readonly string[]} lines
 * @returns {Any}
 */
function calledByLibrary(names, lines) {
  const [head, text = "", foot] = lines;
  const answered = ANSWERED.exec(text)?.[1];
  const call = CALLED.exec(answered ?? text);
  const known =
    head === "return function (handle, methodName, destructorsRef, args) {" && foot === "}";
  if (!call || !known || lines.length !== 3) throw unlike(text);
  const [, called] = call;
  const readers = names.filter((name) => name.startsWith("argFromPtr"));
  return (...given) => {
    const use = byName(names, given);
    return (
      /** @type {any} */ handle,
      /** @type {any} */ method,
      /** @type {any} */ kept,
      /** @type {number} */ at,
    ) => {
      const args = () => readers.map((name, i) => use(name)(at + i * ARGUMENT_BYTES));
      const answer = answerOf(called, args, use, handle, method);
      return answered === undefined
        ? undefined
        : use("emval_returnValue")(use("toReturnWire"), kept, answer);
    };
  };
}

/**
 * @param {string | undefined} called - nothing where a value is only converted
 * @param {() => readonly unknown[]} args - read from the library's memory after what is called is known
 * @param {(name: string) => any} use
 * @param {unknown} handle
 * @param {unknown} method
 */
function answerOf(called, args, use, handle, method) {
  if (called === undefined) return args().at(-1);
  const value = use("toValue")(handle);
  if (called.startsWith("new")) return new value(...args());
  return called.endsWith("]")
    ? value[use("getStringOrSymbol")(method)](...args())
    : value(...args());
}

/**
 * @param {readonly string[]} names
 * @param {readonly any[]} given
 * @returns {(name: string) => any}
 */
function byName(names, given) {
  const all = new Map(names.map((name, i) => [name, given[i]]));
  return (name) => all.get(name);
}

/** @param {string} line */
function unlike(line) {
  return new BindingChanged(`writes a function with a line unknown here: ${line.slice(0, 100)}`);
}
