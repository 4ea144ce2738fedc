import type { Brief } from "../../../brief/brief.ts";
import type { FrameResult } from "../../../model/result.ts";
import type { Preview } from "./preview.ts";

/** What the page asks of its grader, which runs in a worker. */
export type Request =
  | { readonly kind: "codec"; readonly name: string; readonly packed: string }
  | { readonly kind: "show"; readonly id: number; readonly file: File }
  | { readonly kind: "grade"; readonly id: number; readonly file: File; readonly brief: Brief }
  | Decoded;

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
  | { readonly kind: "preview"; readonly id: number; readonly preview: Preview }
  | {
      readonly kind: "decode";
      readonly job: number;
      readonly codec: string;
      readonly bytes: Uint8Array;
    };

/** What another worker decoded for the grader; its error where it could not. */
export interface Decoded {
  readonly kind: "decoded";
  readonly job: number;
  readonly value?: unknown;
  readonly failure?: { readonly code: string; readonly message: string };
}

/** How far a picture is. */
export type Step = "reading" | "decoding" | "measuring";
