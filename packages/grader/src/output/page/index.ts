export { checkReport } from "./checkReport.ts";
export { kitPage } from "./kitPage.ts";
export { pageReport } from "./pageReport.ts";
