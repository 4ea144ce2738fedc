import { z } from "zod";
import { slipRowSchema, slipSchema } from "./slipSchema.ts";

/** The JSON Schema of a slip, as it is published. Rows follow the results' schema, beside which it lies. */
export function slipJsonSchema(): object {
  return {
    title: "Tonefall slip, version 1",
    description:
      "What a hand-in page saves for a student to hand in. Not signed. Stops are relative to middle grey, positive is brighter.",
    ...z.toJSONSchema(slipSchema, {
      override: ({ zodSchema, jsonSchema }) => {
        if (zodSchema !== (slipRowSchema as unknown)) return;
        for (const key of Object.keys(jsonSchema))
          delete jsonSchema[key as keyof typeof jsonSchema];
        jsonSchema.$ref = "results.schema.json#/$defs/gradeRow";
      },
    }),
  };
}
