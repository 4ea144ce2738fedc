import { frameTable } from "./frameTable.ts";
import { keptPicks } from "./keptPicks.ts";
import { printPage } from "./printPage.ts";
import { spotTools } from "./spotTool.ts";
import { wall } from "./wall.ts";

frameTable();
spotTools();
keptPicks();
printPage();
wall();
