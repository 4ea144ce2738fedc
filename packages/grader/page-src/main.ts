import { frameTable } from "./frameTable.ts";
import { printWhole } from "./printWhole.ts";

frameTable();
printWhole();
