import { expectList } from "../expectGiven.ts";
import { expectFinite } from "../expectNumber.ts";

/** Three numbers that belong together: a colour's, or a row of a matrix. */
export type Triple = readonly [number, number, number];

/** Three rows. */
export type Matrix = readonly [Triple, Triple, Triple];

/** A matrix whose determinant is nearer to 0 has no inverse worth the name. */
const LEAST_DETERMINANT = 1e-9;

/**
 * The way back through a linear map of colours.
 *
 * @param matrix - the map's rows
 * @returns what takes a mapped colour back to the colour, and refuses one that is not finite; null where nothing does,
 *   as where a number of the matrix is not finite
 *
 * @example
 * ```ts
 * inverseMap([[2, 0, 0], [0, 4, 0], [0, 0, 1]])?.([1, 1, 1]); // => [0.5, 0.25, 1]
 * ```
 */
export function inverseMap(matrix: Matrix): ((mapped: Triple) => Triple) | null {
  expectList("the matrix", matrix);
  for (const place of [0, 1, 2] as const) expectList("a row of the matrix", matrix[place]);
  const inverse = inverseOf(matrix);
  if (!inverse) return null;
  return (mapped) => {
    for (const part of mapped) expectFinite("a mapped colour", part);
    const colour = times(inverse, mapped);
    for (const part of colour) expectFinite("a colour", part);
    return colour;
  };
}

/** The inverse of a matrix; null where there is none. */
export function inverseOf([[a, b, c], [d, e, f], [g, h, i]]: Matrix): Matrix | null {
  const whole = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  // Written so that what is not a number at all has none either.
  if (!(Math.abs(whole) >= LEAST_DETERMINANT && Math.abs(whole) < Infinity)) return null;
  return [
    [(e * i - f * h) / whole, (c * h - b * i) / whole, (b * f - c * e) / whole],
    [(f * g - d * i) / whole, (a * i - c * g) / whole, (c * d - a * f) / whole],
    [(d * h - e * g) / whole, (b * g - a * h) / whole, (a * e - b * d) / whole],
  ];
}

/** A vector after a linear map. */
export function times(matrix: Matrix, vector: Triple): Triple {
  const row = (i: 0 | 1 | 2): number =>
    matrix[i][0] * vector[0] + matrix[i][1] * vector[1] + matrix[i][2] * vector[2];
  return [row(0), row(1), row(2)];
}

/** The determinant of three columns. */
export function determinant([a, b, c]: Triple, [d, e, f]: Triple, [g, h, i]: Triple): number {
  return a * (e * i - f * h) - d * (b * i - c * h) + g * (b * f - c * e);
}

/** How much of each of three columns makes up a vector, by Cramer's rule; not finite where the columns span no space. */
export function sharesOf([first, second, third]: Matrix, vector: Triple): Triple {
  const whole = determinant(first, second, third);
  return [
    determinant(vector, second, third) / whole,
    determinant(first, vector, third) / whole,
    determinant(first, second, vector) / whole,
  ];
}
