import type { HandoutData } from "../handoutData.ts";
import { grader } from "./grader.ts";
import { graderLink } from "./graderLink.ts";
import { showLicences } from "./licenceTexts.ts";
import type { Answer, Request } from "./messages.ts";
import { studentPage } from "./studentPage.ts";

// One text serves the page and the worker that it starts of itself: nothing is carried twice.
if (typeof document === "undefined") {
  const worker = globalThis as unknown as {
    onmessage: (event: { readonly data: Request }) => void;
    postMessage(answer: Answer, handed: Transferable[]): void;
  };
  const ask = grader((answer, handed = []) => worker.postMessage(answer, handed));
  worker.onmessage = ({ data }) => ask(data);
} else {
  const data = JSON.parse(document.getElementById("handout")?.textContent ?? "{}") as HandoutData;
  studentPage(data, graderLink(document.currentScript?.textContent ?? ""));
  showLicences();
}
