import { renderJson } from "#goodgate/report/json.js";
import { renderTerminal } from "#goodgate/report/terminal.js";
import { cleanReport, jugReport } from "../support/jug-report.js";

/** The saved reports under fixtures/report/, and how each is made. */
export const goldenFiles: Readonly<Record<string, () => string>> = {
  "jug-80-all.txt": () => renderTerminal(jugReport(), { columns: 80, colour: false, form: "all" }),
  "jug-80.txt": () => renderTerminal(jugReport(), { columns: 80, colour: false }),
  "jug-120-colour.txt": () => renderTerminal(jugReport(), { columns: 120, colour: true }),
  "jug-120-all-colour.txt": () => renderTerminal(jugReport(), { columns: 120, colour: true, form: "all" }),
  "jug-quiet.txt": () => renderTerminal(jugReport(), { columns: 80, colour: false, form: "quiet" }),
  "clean-80.txt": () => renderTerminal(cleanReport(), { columns: 80, colour: false }),
  "jug.json": () => renderJson(jugReport()),
};

export const goldenFolder = "fixtures/report";
