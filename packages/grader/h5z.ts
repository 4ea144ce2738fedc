import fs from "node:fs";
import { scaleEndOf } from "./src/decode/scaleEnd.ts";

const tb = (counts, pile) => {
  let s = 0,
    q = 0;
  for (let i = 0; i < pile - 2; i++) {
    s += counts[i];
    q += counts[i] ** 2;
  }
  return (s * s) / q;
};
for (const l of fs.readFileSync("/tmp/h5/hist.ndjson", "utf8").trim().split("\n")) {
  const d = JSON.parse(l);
  const r = scaleEndOf(d.out.map((h) => Uint32Array.from(h)));
  if (r || /E995/.test(d.f)) console.log(d.f, r, d.out.map((h) => tb(h, 251).toFixed(0)).join(" "));
}
