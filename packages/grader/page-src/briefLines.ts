/** Adds a line to the page's brief, in place of an earlier one for the same frame. */
export function addBriefLine(line: string): void {
  const section = document.querySelector<HTMLElement>("#brief");
  const text = section?.querySelector("textarea");
  if (!section || !text) return;
  section.hidden = false;
  const glob = /^"(?:[^"\\]|\\.)*":/.exec(line)?.[0] ?? line;
  const others = text.value.split("\n").filter((kept) => kept !== "" && !kept.startsWith(glob));
  text.value = `${[...others, line].join("\n")}\n`;
  text.rows = Math.min(12, others.length + 2);
  tell(section, others.length === 0 ? "1 line kept." : `${others.length + 1} lines kept.`);
}

/** Lets the kept lines be copied, or saved as a file. */
export function briefLines(): void {
  const section = document.querySelector<HTMLElement>("#brief");
  const text = section?.querySelector("textarea");
  if (!section || !text) return;
  section.querySelector(".copy")?.addEventListener("click", async () => {
    text.select();
    try {
      await navigator.clipboard.writeText(text.value);
      tell(section, "Copied.");
    } catch {
      // A page that is opened from disk may not be let near the clipboard; the text is selected to be copied by hand.
      tell(section, "The text is selected; copy it with your keyboard.");
    }
  });
  section.querySelector(".save")?.addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text.value], { type: "text/yaml" }));
    link.download = "brief.yaml";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  });
}

function tell(section: HTMLElement, sentence: string): void {
  const status = section.querySelector<HTMLElement>("[role=status]");
  if (status) status.textContent = sentence;
}
