import type { Brief } from "../../../brief/brief.ts";
import type { FrameResult } from "../../../model/result.ts";

/** What the page asks of its grader, which runs in a worker. */
export type Request =
  | { readonly kind: "codec"; readonly name: string; readonly packed: string }
  | { readonly kind: "show"; readonly id: number; readonly file: File }
  | { readonly kind: "grade"; readonly id: number; readonly file: File; readonly brief: Brief }
  // The page could not start the worker that the grader asked for.
  | { readonly kind: "unstarted"; readonly job: number };

/** What the grader answers. */
export type Answer =
  | {
      readonly kind: "graded";
      readonly id: number;
      readonly row: FrameResult;
      readonly sha256: string;
    }
  | { readonly kind: "lost"; readonly id: number }
  | { readonly kind: "shown"; readonly id: number; readonly bitmap: ImageBitmap | null }
  | { readonly kind: "step"; readonly id: number; readonly step: Step }
  | { readonly kind: "preview"; readonly id: number; readonly bitmap: ImageBitmap }
  // A worker is to be started from a decoder's script, and given the port by which the grader speaks with it.
  | {
      readonly kind: "decode";
      readonly job: number;
      readonly script: Uint8Array<ArrayBuffer>;
      readonly port: MessagePort;
    }
  | { readonly kind: "decoded"; readonly job: number };

/** How far a picture is. */
export type Step = "reading" | "decoding" | "measuring";
