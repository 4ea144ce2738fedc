import { briefFile, type Pick, setFile } from "./pick.ts";

/** What picks can become: a file's usual name, its text, and how it is used. */
const FORMS = {
  brief: {
    file: "brief.yaml",
    text: briefFile,
    use: "Use it with: tonefall grade --brief brief.yaml",
  },
  set: {
    file: "set.yaml",
    text: setFile,
    use: "Save it in the folder of the pictures and run: tonefall check set.yaml. Its frames can also be copied into another set file there.",
  },
} as const;

const picks: Pick[] = [];

/** Keeps a pick; one of the same place in the same frame is replaced. */
export function keepPick(pick: Pick): void {
  const same = picks.findIndex(({ file, region }) => file === pick.file && region === pick.region);
  if (same >= 0) picks.splice(same, 1);
  picks.push(pick);
  tell(picks.length === 1 ? "1 pick kept." : `${picks.length} picks kept.`);
}

/** Lets the kept picks be copied, or saved as a file, in either form. */
export function keptPicks(): void {
  const section = document.querySelector<HTMLElement>("#picked");
  const text = section?.querySelector("textarea");
  if (!section || !text) return;
  section.querySelector("select")?.addEventListener("input", () => tell(""));
  section.querySelector(".copy")?.addEventListener("click", async () => {
    text.select();
    try {
      await navigator.clipboard.writeText(text.value);
      say(section, "Copied.");
    } catch {
      // A page that is opened from disk may not be let near the clipboard; the text is selected to be copied by hand.
      say(section, "The text is selected; copy it with your keyboard.");
    }
  });
  section.querySelector(".save")?.addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text.value], { type: "text/yaml" }));
    link.download = formOf(section).file;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  });
}

function tell(sentence: string): void {
  const section = document.querySelector<HTMLElement>("#picked");
  const text = section?.querySelector("textarea");
  if (!section || !text) return;
  section.hidden = false;
  const form = formOf(section);
  text.value = form.text(picks);
  text.rows = Math.min(14, text.value.split("\n").length);
  const use = section.querySelector(".use");
  if (use) use.textContent = form.use;
  say(section, sentence);
}

function formOf(section: HTMLElement): (typeof FORMS)[keyof typeof FORMS] {
  return section.querySelector("select")?.value === "set" ? FORMS.set : FORMS.brief;
}

function say(section: HTMLElement, sentence: string): void {
  const status = section.querySelector<HTMLElement>("[role=status]");
  if (status) status.textContent = sentence;
}
