import { frameTable } from "./frameTable.ts";
import { keptPicks } from "./keptPicks.ts";
import { predictModes } from "./predict.ts";
import { printWhole } from "./printWhole.ts";
import { spotTools } from "./spotTool.ts";

frameTable();
spotTools();
keptPicks();
printWhole();
predictModes();
