import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import stringWidth from "string-width";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seededRandom } from "../../../bench/simulation/random.ts";
import { simulatedClass } from "../../../bench/simulation/simulatedClass.ts";
import { classProgress } from "../../classes/progress/classProgress.ts";
import { PROGRESS_VERSION, type TermProgress } from "../../classes/progress/termProgress.ts";
import { readTemplates } from "../../classes/sheets/sheetTemplates.ts";
import { studentSheets } from "../../classes/sheets/studentSheet.ts";
import { MARKED_VERSION, type MarkedClass } from "../../model/markedClass.ts";
import { heldText } from "../../run/write/heldText.ts";
import { CAUSE_WORDS } from "../page/wording.ts";
import { classTable } from "./classTable.ts";
import { gradebook } from "./gradebook.ts";
import { jsonText } from "./json.ts";
import { progressTable } from "./progressTable.ts";
import { lessonSentence } from "./progressWords.ts";
import { sheetText } from "./sheetText.ts";

const PLAIN = { width: 80, heading: (text: string): string => text };

test("whom to ask is named as the table names them", () => {
  const topic = { kind: "ask", students: ["s01", "s02"] } as const;
  expect(lessonSentence(topic, (code) => `Anna ${code}`)).toBe(
    "Ask Anna s01 and Anna s02 what got harder.",
  );
});

/** A class of one, whose names are as hostile as a spreadsheet fears. */
const HOSTILE: MarkedClass = {
  schemaVersion: MARKED_VERSION,
  class: "=1+1",
  students: ["=HYPERLINK(1)"],
  levels: ["@placed", "not yet"],
  exercises: [
    {
      id: "+week",
      title: null,
      due: null,
      tasks: [],
      rows: [
        {
          student: "=HYPERLINK(1)",
          task: "tar",
          frames: [],
          missing: 1,
          surplus: [],
          shown: null,
          verdict: "under",
          error: { stops: -1.23456789, bound: null },
          cause: "followed-meter-on-light",
          level: {
            level: "@placed",
            suggested: "@placed",
            reason: { code: "by-limit", message: "" },
            override: null,
          },
        },
      ],
      unasked: [],
      flags: [],
      strays: [],
      summary: {
        ...{ rows: 1, frames: 0, levels: {}, withoutLevel: 0, missing: 1 },
        ...{ surplus: 0, late: 0, unreadable: 0 },
      },
    },
  ],
};

function simulatedTerm(): TermProgress {
  const { progress } = simulatedClass(seededRandom(4));
  const term = classProgress(progress);
  const exercises = term.exercises.map((one) => ({ title: null, due: null, ...one }));
  return { schemaVersion: PROGRESS_VERSION, class: "Autumn", ...term, exercises };
}

describe("a gradebook", () => {
  test("is UTF-8 with its mark, and holds no formula", () => {
    for (const kind of ["long", "wide"] as const) {
      const text = gradebook(HOSTILE, kind);
      expect(text.startsWith("\uFEFFstudent,")).toBe(true);
      const cells = text.split(/\r\n|,/).filter((cell) => /^"?[=+@]/.test(cell));
      expect(cells, kind).toEqual([]);
      expect(text).toContain("'=HYPERLINK(1)");
      // Numbers stay numbers, and are rounded for people.
      expect(text).toContain(",-1.23");
      expect(text).not.toContain("-1.234");
    }
  });

  test("gives an exercise the level of its weakest task, and none where a task has none", () => {
    const [exercise] = HOSTILE.exercises;
    const [row] = exercise?.rows ?? [];
    if (!exercise || !row) throw new Error("no row");
    const withLevels = (...levels: readonly (string | null)[]): string => {
      const rows = levels.map((level) => ({ ...row, level: { ...row.level, level } }));
      return gradebook({ ...HOSTILE, exercises: [{ ...exercise, rows }] }, "wide");
    };
    expect(withLevels("@placed", "not yet")).toContain(",not yet,-1.23");
    expect(withLevels("@placed", null)).toContain(",,-1.23");
    expect(withLevels("@placed", null)).not.toContain("placed");
  });
});

describe("progress as text", () => {
  const text = progressTable(simulatedTerm(), PLAIN);

  test("fits 80 columns", () => {
    expect(Math.max(...text.split("\n").map((line) => stringWidth(line)))).toBeLessThanOrEqual(80);
  });

  test("ranks nobody: students stand in the order of the class file, and no word compares them", () => {
    const codes = [...text.matchAll(/^(S\d\d) /gm)].map(([, code]) => code);
    expect(codes).toEqual([...codes].sort());
    expect(codes).toHaveLength(20);
    expect(text).not.toMatch(/\b(best|worst|rank|top|bottom|fail|bad|wrong(?! way))\b/i);
  });

  test("shows names only where they are given", () => {
    expect(text).not.toContain("Aino");
    expect(progressTable(simulatedTerm(), PLAIN, () => "Aino")).toMatch(/^Aino /m);
  });
});

describe("templates", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "tonefall templates "));
  });
  afterAll(() => rm(folder, { recursive: true }));
  const given = async (text: string): Promise<string> => {
    const path = join(folder, "own.yaml");
    await writeFile(path, text);
    return path;
  };

  test("of a teacher replace the English ones; what is missing or unknown is reported", async () => {
    const path = await given('well-held: "Juuri niin."\nwell-hled: "x"\n');
    const { templates, remarks } = await readTemplates(path);
    expect(templates["well-held"]).toBe("Juuri niin.");
    expect(templates["next-within"]).toContain("Remember");
    expect(remarks).toHaveLength(2);
    expect(remarks[0]).toMatch(/missing and stay in English: .*title/);
    expect(remarks[1]).toContain('did you mean "well-held"?');
  });

  test("with a slot that is not filled, or no text, are refused with their line", async () => {
    await expect(readTemplates(await given('title: "{exercise} {name}"\n'))).rejects.toThrow(
      /own\.yaml:1:1: "title" has no slot \{name\}; its slots are \{exercise\}, \{student\}/,
    );
    await expect(readTemplates(await given("stop: 3\n"))).rejects.toThrow(/should hold a text/);
    await expect(readTemplates(await given("- a\n"))).rejects.toThrow(/keys with a text each/);
  });

  test("in English have no remarks, and words for every cause, few enough to be read", async () => {
    const { templates, remarks } = await readTemplates();
    expect(remarks).toEqual([]);
    for (const code of Object.keys(CAUSE_WORDS))
      expect(templates, code).toHaveProperty([`cause-${code}`]);
    // A verdict, a cause, a next step and what went well are at most 45 words together.
    const longest = (part: string): number =>
      Math.max(
        ...Object.entries(templates)
          .filter(([key]) => key.startsWith(part))
          .map(([, text]) => text.split(" ").length),
      );
    const words = ["verdict-", "cause-", "next-"].map(longest).reduce((sum, count) => sum + count);
    expect(words).toBeLessThanOrEqual(45);
  });
});

test("each text may take the place of an older one of its kind, and of no other", async () => {
  const { templates } = await readTemplates();
  const [sheet] = studentSheets(HOSTILE, templates);
  if (!sheet) throw new Error("no sheet");
  const term = simulatedTerm();
  expect(heldText(`Tonefall: ${sheetText(sheet, templates)}`).kind).toBe("sheet");
  expect(heldText(gradebook(HOSTILE, "long")).kind).toBe("csv");
  expect(heldText(gradebook(HOSTILE, "wide")).kind).toBe("csv");
  expect(heldText(progressTable(term, PLAIN)).kind).toBe("table");
  expect(heldText(progressTable({ ...term, exercises: [] }, PLAIN)).kind).toBe("table");
  expect(heldText(jsonText(term)).kind).toBe("json");
  expect(heldText("student,name\ns01,Aino\n").kind).toBeNull();
});

test("a level that the shown frame alone would not reach is explained beside its error", () => {
  const frame = (file: string, level: string) => ({
    ...{ file, level, from: "picture", late: { late: false }, row: { failure: null } },
  });
  const [exercise] = HOSTILE.exercises;
  const [row] = exercise?.rows ?? [];
  const table = (shown: string): string => {
    const reason = { code: "limits", message: '1 of 2 frames reach "@placed".' };
    const level = { level: "@placed", suggested: "@placed", reason, override: null };
    const frames = [frame("1.jpg", "@placed"), frame("2.jpg", "not yet")];
    const rows = [{ ...row, frames, shown, level, missing: 0 }];
    const marked = { ...HOSTILE, exercises: [{ ...exercise, rows }] } as unknown as MarkedClass;
    const asIs = (text: string): string => text;
    const paint = new Proxy({}, { get: () => asIs }) as never;
    return classTable(marked, { width: 120, paint, names: null });
  };
  expect(table("2.jpg")).toContain('1 of 2 frames reach "@placed"');
  expect(table("1.jpg")).not.toContain("frames reach");
});
