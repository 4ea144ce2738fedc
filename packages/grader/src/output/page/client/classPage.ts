// What the page of a class does: filters by cause, copies all feedback, prints, and stacks the matrix on a phone.
import { countText } from "../../../model/words.ts";
import { element } from "./element.ts";
import { stackedTables } from "./stackedTables.ts";

function filterByCause(): void {
  const form = document.querySelector<HTMLFormElement>(".class-filter");
  if (!form) return;
  const choice = form.elements.namedItem("cause") as HTMLSelectElement;
  const status = form.querySelector("[role=status]");
  const rows = [...document.querySelectorAll<HTMLTableRowElement>(".matrix tbody tr")];
  const show = (): void => {
    const cause = choice.value;
    let [cells, students] = [0, 0];
    for (const row of rows) {
      let found = 0;
      for (const cell of row.querySelectorAll<HTMLTableCellElement>("[data-causes]")) {
        const has = cause === "" || (cell.dataset["causes"] ?? "").split(" ").includes(cause);
        cell.classList.toggle("aside", !has);
        if (has) found++;
      }
      row.hidden = found === 0;
      cells += found;
      if (found > 0) students++;
    }
    if (status) {
      status.textContent =
        cause === "" ? "" : `${countText(cells, "exercise")} of ${countText(students, "student")}`;
    }
  };
  choice.addEventListener("change", show);
  // The choice is reset after the event.
  form.addEventListener("reset", () => setTimeout(show));
  form.querySelector(".print")?.addEventListener("click", () => window.print());
  form.hidden = false;
}

function copyFeedback(): void {
  const section = document.querySelector<HTMLElement>("#feedback");
  const data = document.querySelector("#feedback-data")?.textContent;
  const text = section?.querySelector("textarea");
  const choice = section?.querySelector("select");
  const status = section?.querySelector("[role=status]");
  if (!section || !data || !text || !choice || !status) return;
  const texts = JSON.parse(data) as Record<string, string>;
  const show = (): void => {
    text.value = texts[choice.value] ?? "";
    status.textContent = "";
  };
  const copy = async (): Promise<void> => {
    text.focus();
    text.select();
    const copied = await navigator.clipboard.writeText(text.value).then(
      () => true,
      () => false,
    );
    status.replaceChildren(
      copied ? "Copied." : element("span", {}, "Selected: press Ctrl-C or ⌘-C to copy."),
    );
  };
  choice.addEventListener("change", show);
  section.querySelector(".copy")?.addEventListener("click", copy);
  show();
  section.hidden = false;
}

stackedTables();
filterByCause();
copyFeedback();
