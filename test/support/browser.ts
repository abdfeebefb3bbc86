/** A real browser without a screen, to look at pages with: Debian's Chromium, which the tests start and stop. */
import { existsSync } from "node:fs";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { describe, it } from "vitest";

const CHROMIUM = "/usr/bin/chromium";

/** A group of tests that look at a page; skipped, saying so, where there is no browser. Under CI that is a failure. */
export function describeWithBrowser(name: string, fn: () => void): void {
  if (existsSync(CHROMIUM)) describe(name, fn);
  else if (process.env.CI)
    describe(name, () => {
      it("has its browser", () => {
        throw new Error("no Chromium: apt-get install chromium");
      });
    });
  else describe.skip(`${name} (skipped, no Chromium)`, () => it("needs apt-get install chromium", () => {}));
}

export function startBrowser(): Promise<Browser> {
  // Some machines that tests run on allow no sandbox; the pages are our own.
  return chromium.launch({ executablePath: CHROMIUM, args: ["--no-sandbox"] });
}

/** A page opened from disk without a network, and all that it said on the console. */
export async function openPage(
  browser: Browser,
  file: string,
  options: BrowserContextOptions = {},
): Promise<{ page: Page; said: string[]; close: () => Promise<void> }> {
  const context = await browser.newContext({
    offline: true,
    viewport: { width: 1440, height: 900 },
    ...options,
  });
  const page = await context.newPage();
  const said: string[] = [];
  page.on("console", (message) => said.push(message.text()));
  page.on("pageerror", (error) => said.push(error.message));
  page.on("request", (request) => {
    if (!/^(?:file|data):/.test(request.url())) said.push(`asked for ${request.url()}`);
  });
  await page.goto(`file://${file}`);
  return { page, said, close: () => context.close() };
}
