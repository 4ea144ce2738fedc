export { checkReport } from "./checkReport.ts";
export { classReport } from "./classReport.ts";
export { kitPage } from "./kitPage.ts";
export { pageReport } from "./pageReport.ts";
export { sheetPage } from "./sheetPage.ts";
