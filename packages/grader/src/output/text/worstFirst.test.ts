import { expect, test } from "vitest";
import type { NoteCode } from "../../model/note.ts";
import { type UrgentRow, worstFirst } from "./worstFirst.ts";

type Named = UrgentRow & { readonly name: string };

function row(name: string, is: Partial<UrgentRow> & { codes?: readonly NoteCode[] } = {}): Named {
  const { codes = [], ...more } = is;
  return {
    ...{
      name,
      verdict: null,
      error: null,
      fall: null,
      failure: null,
      clipped: null,
      crushed: null,
    },
    notes: codes.map((code) => ({ code })),
    ...more,
  };
}

const missBy = (stops: number): UrgentRow["error"] => ({
  ...{ stops, median: stops, uncertainty: 0.05, uncertaintyParts: {} },
  ...{ bound: null, decidedBy: "mean" },
});
const fellAt = (stops: number, median = stops): UrgentRow["fall"] => ({
  ...{ stops, median, p5: stops, p95: stops, bound: null },
  ...{ uncertainty: 0.05, uncertaintyParts: {} },
});

test("misses by size come first, then clipped or black subjects, cannot tell, failures and the rest", () => {
  const rows = [
    row("within", { verdict: "within", error: missBy(0.1) }),
    row("failed", { failure: { code: "empty-file", message: "" } }),
    row("undecided", { verdict: "undecided", error: missBy(3) }),
    row("black", { verdict: "within", crushed: { share: 0.2 }, codes: ["crushed"] }),
    row("clipped", { verdict: "undecided", clipped: { share: 0.6 }, codes: ["clipped"] }),
    row("by 1", { verdict: "over", error: missBy(1), clipped: { share: 1 }, codes: ["clipped"] }),
    row("by -2", { verdict: "under", error: missBy(-2) }),
  ];
  expect(worstFirst(rows).map(({ name }) => name)).toEqual([
    ...["by -2", "by 1", "clipped", "black", "undecided", "failed", "within"],
  ]);
});

test("without placements: clipping, then mixed regions, failures, and the others from the darkest on", () => {
  const rows = [
    row("light", { fall: fellAt(1) }),
    row("dark", { fall: fellAt(-4) }),
    row("mixed", { fall: fellAt(0, -1), codes: ["mixed"] }),
    row("failed", { failure: { code: "empty-file", message: "" } }),
    row("more mixed", { fall: fellAt(0, -2), codes: ["mixed"] }),
    row("clipped", { fall: fellAt(2), clipped: { share: 0.1 }, codes: ["clipped"] }),
  ];
  expect(worstFirst(rows).map(({ name }) => name)).toEqual([
    ...["clipped", "more mixed", "mixed", "failed", "dark", "light"],
  ]);
});
