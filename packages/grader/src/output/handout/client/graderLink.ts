import type { Brief } from "../../../brief/brief.ts";
import type { FrameResult } from "../../../model/result.ts";
import { grader } from "./grader.ts";
import type { Answer, Request, Step } from "./messages.ts";

/** What comes of a picture. */
export interface Graded {
  readonly row: FrameResult;
  /** Of the file's bytes, hexadecimal. */
  readonly sha256: string;
}

/** Who watches a picture being graded. */
interface GradingWatch {
  step(step: Step): void;
  /** A picture that the browser cannot show by itself. */
  preview(bitmap: ImageBitmap): void;
}

/** The page's way to its grader. */
export interface GraderLink {
  grade(file: File, brief: Brief, watch: GradingWatch): Promise<Graded>;
  /** The picture in a file as the browser shows it, small; null where the browser cannot read it. */
  show(file: File): Promise<ImageBitmap | null>;
}

/**
 * Starts the grader in a worker made of the page's own code; where the browser starts none, the grader works in the page.
 *
 * @param code - the page's code
 */
export function graderLink(code: string): GraderLink {
  const jobs = new Map<
    number,
    { watch: GradingWatch; done: (graded: Graded) => void; lost: () => void }
  >();
  const shows = new Map<number, (bitmap: ImageBitmap | null) => void>();
  const decoders = decoderWorkers();
  let last = 0;

  const heard = (answer: Answer): void => {
    if (answer.kind === "decode") {
      decoders.start(answer, () => send({ kind: "unstarted", job: answer.job }));
      return;
    }
    if (answer.kind === "decoded") {
      decoders.end(answer.job);
      return;
    }
    if (answer.kind === "shown") {
      shows.get(answer.id)?.(answer.bitmap);
      shows.delete(answer.id);
      return;
    }
    const job = jobs.get(answer.id);
    if (answer.kind === "step") job?.watch.step(answer.step);
    else if (answer.kind === "preview") job?.watch.preview(answer.bitmap);
    else if (answer.kind === "lost") {
      // An error of ours: the picture stays where it is, and the next ones are graded.
      jobs.delete(answer.id);
      job?.lost();
    } else {
      jobs.delete(answer.id);
      job?.done({ row: answer.row, sha256: answer.sha256 });
    }
  };
  const started = (): ((request: Request) => void) => startedWorker(code, heard) ?? grader(heard);
  const send = started();
  // In a worker of its own: a picture is seen while it is being measured, and making it small takes the page's time otherwise.
  const shower = started();
  for (const [name, packed] of codecTexts()) send({ kind: "codec", name, packed });

  return {
    show: (file) =>
      new Promise((done) => {
        const id = ++last;
        shows.set(id, done);
        shower({ kind: "show", id, file });
      }),
    grade: (file, brief, watch) =>
      new Promise((done, fail) => {
        const id = ++last;
        const lost = (): void => fail(new Error("The grader met an error of its own"));
        jobs.set(id, { watch, done, lost });
        send({ kind: "grade", id, file, brief });
      }),
  };
}

/** Workers of decoders by the job they do: each is started for one picture, and ended with its memory. */
function decoderWorkers(): {
  start(asked: Extract<Answer, { kind: "decode" }>, failed: () => void): void;
  end(job: number): void;
} {
  const ends = new Map<number, () => void>();
  return {
    start: ({ job, script, port }, failed) => {
      const url = URL.createObjectURL(new Blob([script]));
      ends.set(job, () => URL.revokeObjectURL(url));
      try {
        const worker = new Worker(url);
        ends.set(job, () => {
          worker.terminate();
          URL.revokeObjectURL(url);
        });
        worker.onerror = failed;
        worker.postMessage(null, [port]);
      } catch {
        failed();
      }
    },
    end: (job) => {
      ends.get(job)?.();
      ends.delete(job);
    },
  };
}

/**
 * A worker that grades. It may fail to start long after it was made: what it was asked until then is asked of the page itself.
 *
 * @returns null where the browser has no workers
 */
function startedWorker(
  code: string,
  heard: (answer: Answer) => void,
): ((request: Request) => void) | null {
  const asked: Request[] = [];
  let ask: (request: Request) => void;
  try {
    const worker = new Worker(URL.createObjectURL(new Blob([code])));
    let started = false;
    worker.onmessage = ({ data }: MessageEvent<Answer>) => {
      started = true;
      asked.length = 0;
      heard(data);
    };
    worker.onerror = () => {
      if (started) return;
      ask = grader(heard);
      for (const request of asked) ask(request);
    };
    ask = (request) => {
      if (!started) asked.push(request);
      worker.postMessage(request);
    };
  } catch {
    return null;
  }
  return (request) => ask(request);
}

/** The compiled decoders that the page carries, by name, packed. */
function codecTexts(): ReadonlyMap<string, string> {
  const elements = document.querySelectorAll<HTMLScriptElement>('script[id^="codec-"]');
  return new Map(
    [...elements].map(({ id, textContent }) => [id.slice("codec-".length), textContent ?? ""]),
  );
}
