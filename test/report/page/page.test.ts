import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { html } from "#goodgate/report/page/html.js";
import { picturesFor, sizesFor } from "#goodgate/report/page/order-pictures.js";
import { renderPage } from "#goodgate/report/page/page.js";
import type { PhotoPictures } from "#goodgate/report/page/pictures.js";
import { toDo } from "#goodgate/report/to-do.js";
import { facts, judgedReport, photo } from "../../support/facts.js";
import { cleanReport, jugReport } from "../../support/jug-report.js";

const picture = { widthPx: 4, heightPx: 3, base64: "AAAA" };
const pictures: PhotoPictures = { thumb: picture, large: picture, cuts: [] };
const all = (report = jugReport()) => new Map(report.facts.photos.map(({ file }) => [file, pictures]));
const page = (report = jugReport()) => renderPage(report, all(report));
/** The markup without what is no markup: script, style, data, pictures. */
const markup = (text: string) => text.replace(/<(script|style)\b[\s\S]*?<\/\1>/g, "");

describe("renderPage", () => {
  test("gives the same bytes for the same report", () => {
    expect(page()).toBe(page());
  });

  test("allows its own script and style by their hashes, and nothing else", () => {
    const text = page();
    const policy = /http-equiv="Content-Security-Policy" content="([^"]+)"/
      .exec(text)![1]!
      .replaceAll("&#39;", "'");
    const hashOf = (body: string) => `'sha256-${createHash("sha256").update(body).digest("base64")}'`;
    const style = /<style>([\s\S]*?)<\/style>/.exec(text)![1]!;
    const script = /<script>([\s\S]*?)<\/script>/.exec(text)![1]!;
    expect(policy).toBe(
      `default-src 'none'; img-src data:; style-src ${hashOf(style)}; script-src ${hashOf(script)}; base-uri 'none'; form-action 'none'`,
    );
  });

  test("asks for nothing from outside, and sets no style or script in an attribute", () => {
    const text = page();
    expect(text.replaceAll("http://www.w3.org/2000/svg", "")).not.toMatch(/https?:|\/\/[a-z]+\./);
    expect(markup(text)).not.toMatch(/\s(?:style|on[a-z]+)=/);
  });

  test("holds every photo in capture order, each with its verdict in words", () => {
    const report = jugReport();
    const frames = [
      ...page(report).matchAll(
        /<li class="frame (\w+)"[\s\S]*?<span class="name">([^<]*)<\/span>(?:<span class="deed">([^<]*))?/g,
      ),
    ];
    expect(frames.map(([, , name]) => name)).toEqual(report.facts.photos.map(({ file }) => file));
    const deeds = { pass: undefined, edit: "edit", "leave-out": "move out", reshoot: "take again" };
    expect(frames.map(([, , , deed]) => deed)).toEqual(
      report.facts.photos.map(({ file }) => deeds[report.judgement.photoVerdicts.get(file)!]),
    );
  });

  test("tells all of the list of what to do on the front sheet, in its order", () => {
    const report = jugReport();
    let rest = page(report).split('class="contact"')[0]!;
    for (const { kind, reasons, advice } of toDo(report).tasks)
      for (const sentence of [...reasons.slice(0, 1), ...advice]) {
        const at = rest.indexOf(html`${sentence}`.text);
        expect(at, `${kind}: ${sentence}`).toBeGreaterThan(-1);
        rest = rest.slice(at);
      }
  });

  test("says so where a photo has no picture, and names files that cannot be read", () => {
    const report = jugReport();
    const text = renderPage(report, new Map());
    expect(text.match(/class="none"/g)).toHaveLength(report.facts.photos.length);
    for (const { file, reason } of report.facts.unreadable)
      expect(text).toContain(`<b>${file}</b>: ${reason}`);
  });

  test("tells nothing of where a photo was taken, of the camera, or of when", () => {
    const report = judgedReport(
      facts([
        photo("jug.jpg", {
          exif: {
            hasLocation: true,
            make: "Limelight",
            model: "Prompt 3",
            lens: "Prompt lens",
            capturedAt: "2026-05-01T14:03:22",
          },
        }),
      ]),
    );
    expect(page(report)).not.toMatch(/Limelight|Prompt|2026-05-01/);
  });

  test("draws each gap from the place of the photo before it to that of the photo after it, clockwise", () => {
    const report = jugReport();
    const places = page(report).split("<figcaption>From above")[1]!.split("</svg>")[0]!;
    const spotOf = (file: string) => {
      const place = report.facts.photos.findIndex((one) => one.file === file);
      return new RegExp(`data-photo="${place}" transform="translate\\(([-\\d.]+ [-\\d.]+)\\)`).exec(
        places,
      )![1]!;
    };
    const arcs = [...places.matchAll(/<path class="gap" d="M(\S+ \S+)A\S+ \S+ 0 [01] 1 ([^"]+)"/g)];
    const gaps = report.judgement.findings.filter(({ check }) => check === "gap");
    expect(gaps.length).toBeGreaterThan(0);
    expect(arcs).toHaveLength(gaps.length);
    for (const [k, { photos }] of gaps.entries()) {
      const near = (text: string, file: string) => {
        const [x, y] = text.split(" ").map(Number) as [number, number];
        const [x2, y2] = spotOf(file).split(" ").map(Number) as [number, number];
        return Math.hypot(x - x2, y - y2);
      };
      // The arc runs at the mean of the two heights.
      expect(near(arcs[k]![1]!, photos[0]!)).toBeLessThan(6);
      expect(near(arcs[k]![2]!, photos[1]!)).toBeLessThan(6);
    }
  });

  test("stands the first photo at 6 o'clock, and goes as the hands do", () => {
    const report = jugReport();
    const places = page(report).split("<figcaption>From above")[1]!.split("</svg>")[0]!;
    const { cameras } = report.judgement.around.placed[0]!;
    for (const { file, azimuthDeg } of cameras) {
      const place = report.facts.photos.findIndex((one) => one.file === file);
      const [, x, y] = new RegExp(
        `data-photo="${place}" transform="translate\\(([-\\d.]+) ([-\\d.]+)\\)`,
      ).exec(places)!;
      const [right, down] = [Number(x) - 200, Number(y) - 200];
      // 0 below, 90 at 9 o'clock, to the left.
      const seen = (Math.atan2(-right, down) * 180) / Math.PI;
      expect(Math.abs(((seen - azimuthDeg + 540) % 360) - 180)).toBeLessThan(0.5);
    }
  });

  test("a set without fault passes, with nothing to do", () => {
    const text = page(cleanReport());
    expect(text).toContain("<title>PASS: ");
    expect(text).not.toContain('class="tasks');
  });
});

describe("text from files", () => {
  const HOSTILE = [
    "<script>alert(1)</script>.jpg",
    '"><img src=x onerror=alert(1)>.jpg',
    "</script><script>alert(1)</script>",
    "<!--<script>.jpg",
    "'&quot;<b>.jpg",
    "\u202egpj.exe",
    "]]>.jpg",
    "</style><style>*{display:none}",
  ];

  /** Tags that the page itself writes. */
  const tags = (text: string) =>
    [
      ...text
        .replace(/<(style|script)\b([^>]*)>[\s\S]*?<\/\1>/g, "<$1$2></$1>")
        .matchAll(/<[/!?a-zA-Z][^>]*>/g),
    ]
      .map(([tag]) => tag.replace(/"[^"]*"/g, '""'))
      .join("\n");
  const named = (file: string) => {
    const report = judgedReport(
      facts([photo(file)], { folder: file, unreadable: [{ file, reason: file, wayOut: file }] }),
    );
    return renderPage(report, all(report));
  };

  test("never becomes markup, however it is spelt", () => {
    const plain = tags(named("jug.jpg"));
    for (const file of HOSTILE) expect(tags(named(file)), file).toBe(plain);
    fc.assert(
      fc.property(
        fc.string({
          unit: fc.constantFrom(..."<>&\"'/=-! \u202e\u0000abcdefghijklmnopqrstuvwxyz"),
          minLength: 1,
        }),
        (file) => tags(named(file)) === plain,
      ),
      { numRuns: 200 },
    );
  });

  test("comes back whole from the page's data", () => {
    for (const file of HOSTILE.filter((name) => !name.includes("\u202e"))) {
      const data = /<script type="application\/json" id="photos">([\s\S]*?)<\/script>/.exec(named(file))![1]!;
      expect(JSON.parse(data)[0].file).toBe(file);
    }
  });
});

describe("sizes of pictures", () => {
  test.each([
    [1, 15e6],
    [70, 15e6],
    [185, 27.5e6],
    [300, 40e6],
    [1000, 40e6],
  ])("large pictures of %d photos leave room in %d bytes", (photos, most) => {
    const { largeBytes } = sizesFor(photos);
    expect((photos * largeBytes * 4) / 3).toBeLessThan(0.75 * most);
  });

  test("only photos to be edited are levelled", () => {
    const report = jugReport();
    const levelled = picturesFor(report).photos.filter(({ gains }) => gains !== undefined);
    for (const { file } of levelled) expect(report.judgement.photoVerdicts.get(file)).toBe("edit");
  });
});
