import type { Survey } from "../../classes/survey.ts";
import { safeText } from "../../model/words.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";

type SurveyRow = Survey["exercises"][number]["students"][number];

/** What a class handed in, counted by exercise, student and task: `2`, or `1 of 2` where frames are missing. */
export function surveyText({ class: name, exercises }: Survey, style: TableStyle): string {
  const sections = exercises.map(({ id, pattern, students }) => {
    const handedIn = students.filter(isThere).length;
    const title = `${safeText(id)}: ${handedIn} of ${students.length} students handed in`;
    const heading = style.heading(`${title} (${safeText(pattern)})`);
    return handedIn === 0
      ? heading
      : [heading, textTable(columns(students), students, style)].join("\n");
  });
  return `${[style.heading(safeText(name)), ...sections].join("\n\n")}\n`;
}

function isThere({ tasks, unasked }: SurveyRow): boolean {
  return unasked > 0 || tasks.some(({ files }) => files > 0);
}

function columns(students: readonly SurveyRow[]): Column<SurveyRow>[] {
  const [first] = students;
  const unasked = students.some((student) => student.unasked > 0);
  return [
    { title: "Student", cell: ({ code }) => safeText(code) },
    ...(first?.tasks ?? []).map(({ id }, i) => ({
      title: safeText(id),
      cell: ({ tasks }: SurveyRow) => countText(tasks[i]),
      shrinksTo: 4,
    })),
    ...(unasked
      ? [{ title: "No task", cell: (row: SurveyRow) => String(row.unasked || "-") }]
      : []),
  ];
}

function countText(task: SurveyRow["tasks"][number] | undefined): string {
  if (!task || task.files === 0) return "-";
  return task.files === task.asked ? String(task.files) : `${task.files} of ${task.asked}`;
}
