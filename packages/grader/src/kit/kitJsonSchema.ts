import { z } from "zod";
import { kitSchema } from "./kitSchema.ts";

/** The JSON Schema of a kit file, as it is published. */
export function kitJsonSchema(): object {
  return {
    title: "Tonefall kit",
    ...z.toJSONSchema(kitSchema, { io: "input" }),
  };
}
