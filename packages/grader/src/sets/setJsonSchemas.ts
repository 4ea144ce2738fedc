import { z } from "zod";
import { checkResultSchema } from "./checkSchema.ts";
import { setFileSchema } from "./setSchema.ts";

/** The JSON Schema of a set file, as it is published. */
export function setJsonSchema(): object {
  return {
    title: "Tonefall sample set",
    description:
      "What a sample set claims of its pictures; YAML or JSON. Stops are relative to middle grey, positive is brighter.",
    ...z.toJSONSchema(setFileSchema, { io: "input" }),
  };
}

/** The JSON Schema of what `tonefall check -f json` writes, as it is published. */
export function checkJsonSchema(): object {
  return {
    title: "Tonefall check results, version 1",
    description:
      "What `tonefall check --format json` and `tonefall merge --format json` write. Missing is null.",
    ...z.toJSONSchema(checkResultSchema),
  };
}
