import { briefLines } from "./briefLines.ts";
import { frameTable } from "./frameTable.ts";
import { predictModes } from "./predict.ts";
import { spotTools } from "./spotTool.ts";

frameTable();
spotTools();
briefLines();
predictModes();
