/** Lets a class say what a sheet's frames will be before the page tells. */
export function predictModes(): void {
  for (const sheet of document.querySelectorAll<HTMLElement>(".sheet")) {
    const button = sheet.querySelector<HTMLButtonElement>(".predict");
    if (!button) continue;
    button.hidden = false;
    button.addEventListener("click", () => {
      const asking = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(asking));
      button.textContent = asking ? "Reveal" : "Predict first";
      ask(sheet, asking);
    });
  }
}

function ask(sheet: HTMLElement, asking: boolean): void {
  for (const told of sheet.querySelectorAll<HTMLElement>(".told")) told.hidden = asking;
  for (const guess of sheet.querySelectorAll<HTMLElement>(".guess")) guess.hidden = !asking;
  const score = sheet.querySelector<HTMLElement>(".score");
  if (!score) return;
  if (asking) {
    for (const radio of sheet.querySelectorAll<HTMLInputElement>(".guess input")) {
      radio.checked = false;
    }
    score.textContent = "";
    return;
  }
  const answers = [...sheet.querySelectorAll<HTMLElement>(".part")].flatMap((part) => {
    const guess = part.querySelector<HTMLInputElement>("input:checked");
    return guess && part.dataset["answer"] ? [guess.value === part.dataset["answer"]] : [];
  });
  const right = answers.filter(Boolean).length;
  score.textContent =
    answers.length === 0 ? "" : `${right} of ${answers.length} predicted as they fell.`;
}
