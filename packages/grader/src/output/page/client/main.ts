import { frameTable } from "./frameTable.ts";
import { keptPicks } from "./keptPicks.ts";
import { printWhole } from "./printWhole.ts";
import { spotTools } from "./spotTool.ts";
import { wall } from "./wall.ts";

frameTable();
spotTools();
keptPicks();
printWhole();
wall();
