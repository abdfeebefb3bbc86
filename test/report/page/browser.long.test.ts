/// <reference lib="dom" />
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import type { Browser, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, expect, test, vi } from "vitest";
import { main } from "#goodgate/cli.js";
import { defaultDemo } from "#goodgate/demo/index.js";
import type { ReportDocument } from "#goodgate/report/json.js";
import { sizesFor } from "#goodgate/report/page/order-pictures.js";
import { renderPage } from "#goodgate/report/page/page.js";
import type { PhotoPictures } from "#goodgate/report/page/pictures.js";
import { describeWithBrowser, openPage, startBrowser } from "../../support/browser.js";
import { facts, judgedReport, jugNames, photo } from "../../support/facts.js";
import { capturedIo } from "../../support/io.js";
import { renderedSet } from "../../support/rendered.js";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const DEEDS: Readonly<Record<string, string>> = {
  reshoot: "take again",
  "leave-out": "move out",
  edit: "edit",
};
const WIDTHS = [360, 768, 1440];

vi.setConfig({ testTimeout: 300_000, hookTimeout: 900_000 });

let browser: Browser;
let folder: string;

describeWithBrowser("a page in a browser", () => {
  let file: string;
  let report: ReportDocument;
  let flagged: { file: string; verdict: string; place: number }[];

  beforeAll(async () => {
    browser = await startBrowser();
    folder = mkdtempSync(join(tmpdir(), "goodgate-page-"));
    const [first] = await renderedSet(defaultDemo);
    file = join(folder, "jug's page.html");
    const saved = join(folder, "report.json");
    const io = capturedIo();
    expect(await main(["check", dirname(first!), "--page", file, "--save", saved], io)).toBe(1);
    expect(io.err()).toMatch(/jug's page\.html" \(\d+\.\d MB\): open it in a browser\.\n$/);
    report = JSON.parse(readFileSync(saved, "utf8"));
    flagged = report.photos.flatMap(({ file, verdict }, place) =>
      verdict === "pass" ? [] : [{ file, verdict, place }],
    );
  });
  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  const frame = (page: Page, name: string) => page.locator(".frame button", { hasText: name });
  const seen = (page: Page) => page.locator("dialog[open] h2").textContent();

  test("is what goodgate page makes of the saved report, and says nothing on the console", async () => {
    const again = join(folder, "again.html");
    const io = capturedIo();
    const set = dirname((await renderedSet(defaultDemo))[0]!);
    expect(await main(["page", join(folder, "report.json"), set, "--to", again], io)).toBe(0);
    expect(readFileSync(again).equals(readFileSync(file))).toBe(true);
    const { page, said, close } = await openPage(browser, file);
    await frame(page, flagged[0]!.file).click();
    await page.locator("#close").click();
    expect(said).toEqual([]);
    await close();
  });

  test("has each flagged photo under its filter, and opens it by a click with its reason", async () => {
    expect(flagged.length).toBeGreaterThan(5);
    const { page, close } = await openPage(browser, file);
    for (const { file: name, verdict } of flagged) {
      await page.locator(".filter label", { hasText: DEEDS[verdict]! }).click();
      const shown = await page.locator(".frame:visible .name").allTextContents();
      expect(shown).toEqual(report.photos.filter((one) => one.verdict === verdict).map((one) => one.file));
      await frame(page, name).click();
      expect(await seen(page)).toBe(name);
      const reason = report.findings.find(
        ({ photos, severity }) => photos[0] === name && severity === verdict,
      )!;
      expect(await page.locator("dialog .reason").allTextContents()).toContain(reason.message);
      expect(
        await page
          .locator("#large")
          .evaluate((image: HTMLImageElement) => image.decode().then(() => image.naturalWidth)),
      ).toBeGreaterThan(600);
      await page.locator("#close").click();
    }
    await close();
  });

  test("opens each flagged photo by touch, and the next one by a swipe", async () => {
    const { page, close } = await openPage(browser, file, {
      hasTouch: true,
      isMobile: true,
      viewport: { width: 360, height: 740 },
    });
    for (const { file: name } of flagged) {
      await frame(page, name).tap();
      expect(await seen(page)).toBe(name);
      await page.locator("#close").tap();
    }
    await frame(page, report.photos[3]!.file).tap();
    await page.locator(".stage").evaluate((stage) => {
      const touch = (x: number) => new Touch({ identifier: 1, target: stage, clientX: x, clientY: 100 });
      stage.dispatchEvent(
        new TouchEvent("touchstart", { touches: [touch(250)], changedTouches: [touch(250)] }),
      );
      stage.dispatchEvent(new TouchEvent("touchend", { touches: [], changedTouches: [touch(80)] }));
    });
    expect(await seen(page)).toBe(report.photos[4]!.file);
    await close();
  });

  test("reaches and opens each flagged photo by the keyboard alone, and comes back to its frame", async () => {
    const { page, close } = await openPage(browser, file);
    await page.locator(".frame button").first().focus();
    let at = 0;
    for (const { file: name, place } of flagged) {
      for (; at < place; at++) await page.keyboard.press("ArrowRight");
      await page.keyboard.press("Enter");
      expect(await seen(page)).toBe(name);
      await page.keyboard.press("Escape");
      expect(await page.evaluate(() => document.activeElement?.querySelector(".name")?.textContent)).toBe(
        name,
      );
    }
    await page.keyboard.press("Home");
    await page.keyboard.press("Enter");
    await page.keyboard.press("ArrowRight");
    expect(await seen(page)).toBe(report.photos[1]!.file);
    await close();
  });

  test.each(["light", "dark"] as const)(
    "axe finds no violation in %s, nor with a photo open",
    async (colorScheme) => {
      const { page, close } = await openPage(browser, file, { colorScheme });
      // Put in by the browser's own tools: the page itself would refuse it.
      const violations = async () => {
        await page.evaluate(AXE);
        const { violations } = await page.evaluate(() =>
          // biome-ignore lint/suspicious/noExplicitAny: what the script just put there
          (globalThis as any).axe.run(document, { resultTypes: ["violations"] }),
        );
        return violations.map(
          ({ id, nodes }: { id: string; nodes: { html: string }[] }) => `${id}: ${nodes[0]?.html}`,
        );
      };
      expect(await violations()).toEqual([]);
      await frame(page, flagged[0]!.file).click();
      expect(await violations()).toEqual([]);
      await close();
    },
  );

  test.each(WIDTHS)("needs no sideways scroll at %d px, nor with a photo open", async (width) => {
    const { page, close } = await openPage(browser, file, { viewport: { width, height: 800 } });
    const over = () =>
      page.evaluate(() => {
        const dialog = document.querySelector("dialog")!;
        return [
          document.documentElement.scrollWidth - innerWidth,
          dialog.open ? dialog.scrollWidth - dialog.clientWidth : 0,
        ];
      });
    expect(await over()).toEqual([0, 0]);
    for (const { file: name } of flagged) {
      await frame(page, name).click();
      expect(await over(), name).toEqual([0, 0]);
      await page.locator("#close").click();
    }
    await close();
  });

  test("prints the verdict and the list on one sheet", async () => {
    const { page, close } = await openPage(browser, file);
    const pdf = await page.pdf({ format: "A4" });
    expect(pdf.toString("latin1").match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
    await page.emulateMedia({ media: "print" });
    expect(await page.locator(".contact").isVisible()).toBe(false);
    for (const { file: name } of flagged) expect(await page.locator(".front").textContent()).toContain(name);
    await close();
  });

  test("holds no picture with tags, and no path of the set", () => {
    const text = readFileSync(file, "latin1");
    expect(text).not.toContain(folder);
    expect(text).not.toContain(dirname(file));
    for (const [, base64] of text.matchAll(/<script type="text\/plain"[^>]*>([^<]+)/g))
      expect(Buffer.from(base64!, "base64").includes("Exif")).toBe(false);
    expect(statSync(file).size).toBeLessThan(15e6);
  });

  test("of 300 photos opens in at most three times the time of one of 70, whose frames off screen cost no layout", async () => {
    const pages = await Promise.all([70, 300].map((photos) => pageOf(photos)));
    const times: number[][] = [[], []];
    for (let round = 0; round < 5; round++)
      for (const [k, path] of pages.entries()) {
        const { page, close } = await openPage(browser, path);
        times[k]!.push(
          await page.evaluate(() => performance.timing.loadEventEnd - performance.timing.navigationStart),
        );
        await close();
      }
    const [small, large] = times.map((own) => own.toSorted((a, b) => a - b)[2]!);
    expect(statSync(pages[1]!).size).toBeLessThan(40e6);
    expect(large! / small!).toBeLessThan(3);
    const { page, close } = await openPage(browser, pages[1]!);
    const laidOut = await page
      .locator(".frame")
      .evaluateAll(
        (frames) =>
          frames.filter((one) => one.firstElementChild!.checkVisibility({ contentVisibilityAuto: true }))
            .length,
      );
    expect(laidOut).toBeLessThan(100);
    await close();
  });
});

/** A page of so many photos whose pictures are as large as they may be. */
async function pageOf(photos: number): Promise<string> {
  const { largeBytes, largePx, thumbPx } = sizesFor(photos);
  const noise = async (px: number, bytes: number) => {
    const raw = Buffer.alloc(3 * px * px);
    for (let i = 0; i < raw.length; i++) raw[i] = (Math.imul(i, 2654435761) >>> 24) / 2;
    for (let quality = 80; ; quality -= 15) {
      const jpeg = await sharp(raw, { raw: { width: px, height: px, channels: 3 } })
        .blur(1.5)
        .jpeg({ quality })
        .toBuffer();
      if (jpeg.length <= bytes) return { widthPx: px, heightPx: px, base64: jpeg.toString("base64") };
    }
  };
  const own: PhotoPictures = {
    thumb: await noise(thumbPx, 16e3),
    large: await noise(largePx, largeBytes),
    cuts: [],
  };
  const report = judgedReport(facts(jugNames(photos).map((name) => photo(name))));
  const path = join(folder, `${photos}.html`);
  writeFileSync(path, renderPage(report, new Map(report.facts.photos.map((one) => [one.file, own]))));
  return path;
}
