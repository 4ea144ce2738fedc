import { deflateSync } from "node:zlib";
import { gradeFrame } from "@tonefall/grader";
import sharp from "sharp";
import { describe, expect, test } from "vitest";
import { pngChunk, pngOf } from "./raw/pngFile.ts";
import { toLinear } from "./srgb.ts";
