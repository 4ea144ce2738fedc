import { describe, expect, test } from "vitest";
import { type AxisPoint, errorAxis } from "./errorAxis.ts";

interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Misses on both sides and frames that hold, some further out than the axis. */
function frames(count: number, verdictOf: (i: number) => AxisPoint["verdict"]): AxisPoint[] {
  return Array.from({ length: count }, (_, i): AxisPoint => {
    const verdict = verdictOf(i);
    const side = verdict === "under" ? -1 : 1;
    return {
      id: `frame-${i + 1}`,
      href: `#frame-${i + 1}`,
      number: i + 1,
      name: `${i}.jpg`,
      stops:
        verdict === "within" ? 0.1 * Math.sin(i) : side * (0.4 + (3.4 * ((i * 37) % 100)) / 100),
      bound: i % 9 === 0 ? "at least" : null,
      verdict,
      headline: "",
      pictured: true,
    };
  });
}

/** The places of the frames in one of the two drawings. */
function places(
  points: readonly AxisPoint[],
  tolerance: number | null,
  which: "wide" | "narrow",
): Box[] {
  const drawing = errorAxis({ title: "", points, tolerance }).text.split('<svg class="axis ')[
    which === "wide" ? 1 : 2
  ] as string;
  const found = drawing.matchAll(
    /<rect class="reach" x="([-\d.]+)" y="([-\d.]+)" width="(\d+)" height="(\d+)"/g,
  );
  return [...found].map(([, x, y, width, height]) => ({
    x: Number(x),
    y: Number(y),
    width: Number(width),
    height: Number(height),
  }));
}

function overlap(a: Box, b: Box): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

const MIXED = (i: number): AxisPoint["verdict"] =>
  (["within", "over", "under", "within", "undecided"] as const)[i % 5] ?? null;

describe("every frame on one axis", () => {
  test.each<[number, (i: number) => AxisPoint["verdict"], number | null]>([
    [1, MIXED, 1 / 3],
    [30, MIXED, 1 / 3],
    [300, MIXED, 1 / 3],
    [300, () => "within", 1 / 6],
    [300, () => "over", 1],
    [120, () => null, null],
  ])("%i frames do not overlap, nor leave the drawing", (count, verdictOf, tolerance) => {
    for (const [which, width] of [
      ["wide", 860],
      ["narrow", 360],
    ] as const) {
      const boxes = places(frames(count, verdictOf), tolerance, which);
      expect(boxes).toHaveLength(count);
      for (const [i, box] of boxes.entries()) {
        expect(box.x).toBeGreaterThanOrEqual(0);
        expect(box.x + box.width).toBeLessThanOrEqual(width);
        expect(boxes.slice(i + 1).some((other) => overlap(box, other))).toBe(false);
      }
    }
  });

  test("a miss stands further out the larger it is, with its inner side at its error", () => {
    const points = frames(3, () => "over").map((point, i) => ({
      ...point,
      stops: [0.5, 1.5, 2.5][i] as number,
    }));
    const [one, two, three] = places(points, 1 / 3, "wide") as [Box, Box, Box];
    expect(two.x - one.x).toBeCloseTo(three.x - two.x, 0);
    expect(one.x).toBeGreaterThan(430);
  });

  test("beyond the axis a frame stands at its end, with its figure", () => {
    const points = frames(1, () => "over").map((point) => ({ ...point, stops: 6.25 }));
    expect(errorAxis({ title: "", points, tolerance: 1 / 3 }).text).toContain(">+6.25</text>");
  });

  test("figures of what lies beyond are left out where pictures are too small for them", () => {
    const points = frames(300, () => "over").map((point) => ({ ...point, stops: 6.25 }));
    const { text } = errorAxis({ title: "", points, tolerance: 1 / 3 });
    expect(text).not.toContain(">+6.25</text>");
    expect(text.match(/class="further"/g)).toHaveLength(600);
  });

  test("falls take the room they need, and no more", () => {
    const points = frames(2, () => null).map((point, i) => ({
      ...point,
      stops: [-3.5, 0.5][i] as number,
    }));
    const { text } = errorAxis({ title: "", points, tolerance: null });
    const ticks = [...text.matchAll(/class="tick"[^>]*>([−+]?\d)</g)].map(([, tick]) => tick);
    expect(ticks.slice(0, 6)).toEqual(["−4", "−3", "−2", "−1", "0", "+1"]);
    const [dark, light] = places(points, null, "wide") as [Box, Box];
    expect(light.x - dark.x).toBeGreaterThan(400);
  });
});
