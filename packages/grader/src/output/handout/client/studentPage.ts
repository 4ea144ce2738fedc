import { element } from "../../page/client/element.ts";
import type { ExerciseTask } from "../exercise.ts";
import type { HandoutData } from "../handoutData.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { type FrameCard, frameCard } from "./frameCard.ts";
import type { GraderLink } from "./graderLink.ts";
import { handInPanel } from "./handInPanel.ts";
import { tabMemory } from "./tabMemory.ts";
import { type TaskPanel, taskPanel } from "./taskPanel.ts";

/** Fills a hand-in page with its tasks, and keeps it up to date with what the student chooses. */
export function studentPage(data: HandoutData, link: GraderLink): void {
  const { exercise, hideVerdict } = data;
  const frames: ChosenFrame[] = [];
  const cards = new Map<ChosenFrame, FrameCard>();
  const tasks = document.getElementById("tasks") as HTMLElement;
  const handIn = document.getElementById("hand-in") as HTMLElement;

  const guess = element("input", { type: "checkbox" });
  if (!hideVerdict) {
    tasks.append(
      element("p", { class: "guessing" }, element("label", {}, guess, "Let me guess before I see")),
    );
  }

  const seenBefore = (frame: ChosenFrame): boolean =>
    frames
      .slice(0, frames.indexOf(frame))
      .some(({ graded }) => graded && graded.sha256 === frame.graded?.sha256);

  const grade = async (frame: ChosenFrame): Promise<void> => {
    const card = cards.get(frame);
    if (!card) return;
    const { file, task, region } = frame;
    // Where the student marks the subject, the file is looked at first, and measured when the mark is there.
    const { place: _place, ...unplaced } = task.brief;
    const brief = task.regionOpen
      ? region === null
        ? unplaced
        : { ...task.brief, region }
      : task.brief;
    card.showStep("waiting");
    const graded = await link
      .grade(file, brief, {
        step: (step) => card.showStep(step),
        preview: (bitmap) => card.picture.show(bitmap),
      })
      .catch(() => null);
    if (!graded) {
      card.showLost();
      return;
    }
    // Another mark was set meanwhile, or the picture is gone: that grading's answer counts.
    if (frame.region !== region || !cards.has(frame)) return;
    frame.graded = graded;
    if (recall(frame, card)) return;
    card.showResult(seenBefore(frame));
    stand.update();
  };

  /** Gives a picture that was chosen again what was done with it before; says whether it is to be graded anew. */
  const recall = (frame: ChosenFrame, card: FrameCard): boolean => {
    const kept = memory.take(frame);
    if (!kept) return false;
    showWanted();
    frame.predictedStops ??= kept.predictedStops;
    if (!frame.task.regionOpen || frame.region !== null || kept.region === null) return false;
    frame.region = kept.region;
    card.showMark(kept.region);
    void grade(frame);
    return true;
  };

  const showWanted = (): void => {
    for (const { task, panel } of panels) {
      const names = memory.wanted.filter((kept) => kept.task === task.name);
      panel.showWanted(names.map(({ name }) => name));
    }
  };

  const remove = (gone: ChosenFrame, input: HTMLInputElement): void => {
    const own = frames.filter(({ task }) => task === gone.task);
    const next = own[own.indexOf(gone) + 1] ?? own[own.indexOf(gone) - 1];
    frames.splice(frames.indexOf(gone), 1);
    cards.get(gone)?.picture.free();
    cards.get(gone)?.element.remove();
    cards.delete(gone);
    // Whoever works by keys goes on beside what is gone.
    (cards.get(next ?? gone)?.element.querySelector<HTMLElement>(".remove") ?? input).focus();
    const same = frames.filter(({ graded }) => graded && graded.sha256 === gone.graded?.sha256);
    for (const frame of same) cards.get(frame)?.showResult(seenBefore(frame));
    stand.update();
  };

  const add = (task: ExerciseTask, { frames: place, input }: TaskPanel, file: File): void => {
    const frame: ChosenFrame = { task, file, region: null, predictedStops: null, graded: null };
    const card = frameCard(frame, {
      hideVerdict,
      show: link.show,
      guessing: () => guess.checked,
      onRegion: (changed) => void grade(changed),
      onRemove: (gone) => remove(gone, input),
      onChange: () => stand.update(),
    });
    frames.push(frame);
    cards.set(frame, card);
    place.append(card.element);
    stand.update();
    void grade(frame);
  };

  const memory = tabMemory(data.exerciseSha256);
  const stand = handInPanel(data, frames, seenBefore, memory, handIn);
  const panels = exercise.tasks.map((task, i) => {
    const take = (files: readonly File[]): void => {
      for (const file of files) add(task, panel, file);
    };
    const panel = taskPanel(task, i + 1, take);
    tasks.append(panel.element);
    return { task, panel, take };
  });
  const [first] = panels;
  catchStrayDrops(panels.length === 1 && first ? first.take : null);
  showWanted();
  stand.update();
}

/**
 * Keeps the page open where pictures are dropped beside the tasks: a browser would leave it for the picture.
 *
 * @param take - takes them all the same, where it is clear for what they are
 */
function catchStrayDrops(take: ((files: readonly File[]) => void) | null): void {
  document.addEventListener("dragover", (event) => {
    if (event.defaultPrevented) return;
    event.preventDefault();
    if (!take && event.dataTransfer) event.dataTransfer.dropEffect = "none";
  });
  document.addEventListener("drop", (event) => {
    if (event.defaultPrevented) return;
    event.preventDefault();
    take?.([...(event.dataTransfer?.files ?? [])]);
  });
}
