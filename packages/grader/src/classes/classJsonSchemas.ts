import { z } from "zod";
import { classFileSchema } from "./classSchema.ts";
import { markedClassSchema } from "./markedSchema.ts";

/** The JSON Schema of a class file, as it is published. */
export function classJsonSchema(): object {
  return {
    title: "Tonefall class",
    description:
      "Who is in a class, what it is asked to photograph, and how its hand-ins are found; YAML or JSON. Stops are relative to middle grey, positive is brighter.",
    ...z.toJSONSchema(classFileSchema, { io: "input" }),
  };
}

/** The JSON Schema of what `tonefall class mark -f json` writes, as it is published. */
export function markedJsonSchema(): object {
  return {
    title: "Tonefall marked class, version 1",
    description:
      "What `tonefall class mark --format json` writes. Rows of frames follow results.schema.json. Missing is null.",
    ...z.toJSONSchema(markedClassSchema),
  };
}
