/** A length in a drawing, to a tenth of a pixel: more digits are nothing that anybody sees. */
export function px(value: number): string {
  return String(Number(value.toFixed(1)));
}
