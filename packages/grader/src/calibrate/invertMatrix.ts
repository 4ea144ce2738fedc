import { CholeskyDecomposition, Matrix } from "ml-matrix";

/** Inverse of a symmetric positive matrix. */
export function invertMatrix(rows: number[][]): number[][] {
  const matrix = new Matrix(rows);
  return new CholeskyDecomposition(matrix).solve(Matrix.eye(rows.length)).to2DArray();
}
