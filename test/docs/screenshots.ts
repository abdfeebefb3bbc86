/// <reference lib="dom" />
/**
 * Takes the pictures of the page in docs/ from the practice set, from the project's folder:
 * npm run build:tools && node build/test/docs/screenshots.js [FOLDER OF THE PRACTICE SET]
 */
import { mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { main } from "#goodgate/cli.js";
import { defaultDemo } from "#goodgate/demo/index.js";
import { openPage, startBrowser } from "../support/browser.js";
import { capturedIo } from "../support/io.js";
import { renderedSet } from "../support/rendered.js";

interface Shot {
  readonly name: string;
  readonly width: number;
  readonly height: number;
  readonly colorScheme: "light" | "dark";
  /** Name of the photo that is open. */
  readonly open?: string;
  /** What the picture begins with; the top of the page unless said. */
  readonly from?: string;
}

const SHOTS: readonly Shot[] = [
  { name: "page", width: 1280, height: 860, colorScheme: "light", from: ".both" },
  {
    name: "page-photo",
    width: 1280,
    height: 860,
    colorScheme: "dark",
    open: "IMG_0006.jpg",
    from: "#told .exact",
  },
  { name: "page-phone", width: 360, height: 740, colorScheme: "light" },
];

const photos = process.argv[2] ?? dirname((await renderedSet(defaultDemo))[0]!);
const folder = mkdtempSync(join(tmpdir(), "goodgate-screenshots-"));
const browser = await startBrowser();
try {
  const file = join(folder, "page.html");
  const set = join(folder, "stoneware-jug");
  symlinkSync(resolve(photos), set);
  const io = capturedIo();
  await main(["check", set, "--page", file], io);
  process.stderr.write(io.err());
  for (const { name, width, height, colorScheme, open, from } of SHOTS) {
    const { page, close } = await openPage(browser, file, { viewport: { width, height }, colorScheme });
    if (open !== undefined) await page.locator(".frame button", { hasText: open }).click();
    if (from !== undefined) await page.locator(from).evaluate((element) => element.scrollIntoView());
    // The window's head stays in place over what is scrolled to.
    if (open !== undefined) await page.locator("dialog").evaluate((dialog) => dialog.scrollBy(0, -110));
    await page.waitForTimeout(500);
    await page.screenshot({ path: `docs/${name}.jpg`, type: "jpeg", quality: 80 });
    await close();
  }
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
