export { checkReport } from "./checkReport.ts";
export { classPicture } from "./classPicture.ts";
export { classReport } from "./classReport.ts";
export { kitPage } from "./kitPage.ts";
export { lookAssets } from "./pageAssets.ts";
export { pageReport } from "./pageReport.ts";
export { sheetPage } from "./sheetPage.ts";
