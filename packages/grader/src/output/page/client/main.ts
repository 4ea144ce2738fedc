import { folds } from "./folds.ts";
import { frameList } from "./frameList.ts";
import { frameTable } from "./frameTable.ts";
import { keptPicks } from "./keptPicks.ts";
import { predictModes } from "./predict.ts";
import { printWhole } from "./printWhole.ts";
import { rovingFocus } from "./rovingFocus.ts";
import { spotTools } from "./spotTool.ts";

folds();
for (const axis of document.querySelectorAll(".axis")) rovingFocus(axis);
frameList();
frameTable();
spotTools();
keptPicks();
printWhole();
predictModes();
