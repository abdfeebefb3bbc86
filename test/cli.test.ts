import { execFileSync } from "node:child_process";
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { main } from "#goodgate/cli.js";
import type { Dependencies } from "#goodgate/commands/dependencies.js";
import { GatherError } from "#goodgate/gather/errors.js";
import { facts, finding, jugNames, photo, report } from "./support/facts.js";
import { capturedIo, type Screen } from "./support/io.js";
import { cleanReport, jugReport } from "./support/jug-report.js";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-cli-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const auditing = (one = jugReport()): Partial<Dependencies> => ({ audit: async () => one });
const unasked: Partial<Dependencies> = {
  audit: () => {
    throw new Error("the audit ran");
  },
};

async function run(argv: readonly string[], given: Partial<Dependencies> = auditing(), screen: Screen = {}) {
  const io = capturedIo(screen);
  const code = await main(argv, io, given);
  return { code, out: io.out(), err: io.err() };
}

describe("exit codes", () => {
  test("a pass is 0, a reshoot 1", async () => {
    expect((await run(["check", "jug"], auditing(cleanReport()))).code).toBe(0);
    expect((await run(["check", "jug"])).code).toBe(1);
  });

  test("nothing to judge is 2, with one sentence on stderr and nothing on stdout", async () => {
    const audit = async () => {
      throw new GatherError("a folder of photos", "jug is empty", "copy the photos into it");
    };
    expect(await run(["check", "jug"], { audit })).toEqual({
      code: 2,
      out: "",
      err: "goodgate: Expected a folder of photos, but jug is empty: copy the photos into it.\n",
    });
  });

  test("a fault of the program is 2, and its stack is told under --debug alone", async () => {
    const audit = async () => {
      throw new TypeError("odd \u001b[31m");
    };
    const plain = await run(["check", "jug"], { audit });
    expect(plain.code).toBe(2);
    expect(plain.err).toMatch(/^goodgate: A fault of the program.*--debug/);
    expect(plain.err).not.toMatch(/\n {4}at |\u001b/);
    expect((await run(["check", "jug", "--debug"], { audit })).err).toMatch(/\n {4}at /);
  });

  test("no command is 2, and help goes to stderr", async () => {
    const { code, out, err } = await run([]);
    expect([code, out]).toEqual([2, ""]);
    expect(err).toContain("check <FOLDER>");
  });
});

describe("help and version", () => {
  test("are told on stdout with exit code 0", async () => {
    for (const argv of [["--help"], ["-h"], ["help"], ["check", "--help"], ["help", "demo"]]) {
      const { code, out, err } = await run(argv, unasked);
      expect([code, err], argv.join(" ")).toEqual([0, ""]);
      expect(out).toContain("goodgate ");
      for (const line of out.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
    }
    expect((await run(["check", "--help"])).out).toContain("--at-most <N>");
  });

  test("the version is package.json's", async () => {
    const { version } = JSON.parse(readFileSync("package.json", "utf8"));
    expect((await run(["--version"])).out).toBe(`goodgate ${version}\n`);
  });

  test("are the parser's own words, wherever on the line they are asked for", async () => {
    for (const [built, parsed] of [
      [
        ["check", "--help"],
        ["check", "jug", "--help"],
      ],
      [
        ["help", "demo"],
        ["demo", "--clean", "-h"],
      ],
      [["-h"], ["--no-such", "--help"]],
    ] as const)
      expect((await run(built, unasked)).out).toBe((await run(parsed, unasked)).out);
  });

  test("load no package", () => {
    const list = `import { main } from "./dist/cli.js";
      const io = { stdout: { write: async () => {} }, stderr: { write: async () => {} }, env: {} };
      await main(["--help"], io); await main(["--version"], io);
      const { createRequire } = await import("node:module");
      console.log(Object.keys(createRequire(import.meta.url).cache).length);`;
    expect(execFileSync(process.execPath, ["--input-type=module", "-e", list], { encoding: "utf8" })).toBe(
      "0\n",
    );
  });
});

describe("what cannot be meant", () => {
  const wrong: readonly (readonly [argv: string[], says: RegExp])[] = [
    [["check", "jug", "--strct"], /unknown option '--strct'\n\(Did you mean --strict\?\)/],
    [["check", "jug", "--at-mots=5"], /Did you mean --at-most\?/],
    [["check", "jug", "--frobnicate"], /unknown option '--frobnicate'\nSee goodgate check --help/],
    [["check", "jug", "--\u001b[2J"], /unknown option '--\\x1b\[2J'/],
    [["chek", "jug"], /unknown command 'chek'\n\(Did you mean check\?\)/],
    [["./jug-photos"], /Photos are judged by goodgate check FOLDER/],
    [["check"], /missing required argument 'FOLDER'/],
    [["check", "a", "b"], /too many arguments .*\n.* A name with spaces goes in quotes/],
    [["check", "jug", "--save"], /'--save <FILE>' argument missing/],
    [["check", "jug", "--save", "--force"], /'--save <FILE>' argument '--force' .* written \.\/--force/],
    [["check", "jug", "--limits", "-l.json"], /'--limits <FILE>' argument '-l\.json'/],
    [["check", "jug", "--jobs", "-1"], /'-1' is invalid\. Expected a whole number from 1 to 256/],
    [["check", "jug", "--span", "-5"], /'-5' is invalid\. Expected a whole number from 1 to 360/],
    [["check", "jug", "--at-most", "--strict"], /'--at-most <N>' argument '--strict'/],
    [["demo", "jug", "--seed", "-3"], /'-3' is invalid\. Expected a whole number from 0/],
    [["check", "jug", "--jobs", "0"], /'0' is invalid/],
    [["check", "jug", "--jobs", "two"], /'two' is invalid/],
    [["check", "jug", "--at-most", "1.5"], /'1\.5' is invalid/],
    [["check", "jug", "--at-most", ""], /'' is invalid/],
    [["check", "jug", "--span", "0"], /'0' is invalid\. .* from 1 to 360, for example 180/],
    [["check", "jug", "--span", "361"], /'361' is invalid/],
    [["check", "jug", "--span", "90deg"], /'90deg' is invalid/],
    [["check", "jug", "--span"], /'--span <DEGREES>' argument missing/],
    [["demo", "jug", "--seed", "x"], /'--seed <N>' argument 'x'/],
    [["checks", "soft-foto"], /try goodgate checks soft-photo/],
  ];
  for (const [argv, says] of wrong)
    test(`goodgate ${argv.join(" ")}`, async () => {
      const { code, out, err } = await run(argv, unasked);
      expect([code, out]).toEqual([2, ""]);
      expect(err).toMatch(says);
      expect(err).toMatch(/^goodgate: (?:.*\n){1,3}$/);
    });
});

describe("check", () => {
  test("hands the options on", async () => {
    let seen: Parameters<Dependencies["audit"]> | undefined;
    const audit: Dependencies["audit"] = async (...all) => {
      seen = all;
      return cleanReport();
    };
    await run(["check", "jug", "--jobs", "3", "--at-most", "80", "--span", "180", "--strict", "--no-cache"], {
      audit,
    });
    expect(seen?.[0]).toBe("jug");
    expect(seen?.[1]).toMatchObject({ jobs: 3, atMost: 80, spanDeg: 180, strict: true, cache: false });
    await run(["check", "jug"], { audit });
    expect(seen?.[1]).toMatchObject({ strict: false, cache: true });
    expect(seen?.[1]).not.toHaveProperty("jobs");
    expect(seen?.[1]).not.toHaveProperty("spanDeg");
  });

  test("--json prints exactly one document and nothing else", async () => {
    const { out, err } = await run(["check", "jug", "--json", "--quiet"]);
    expect(JSON.parse(out).verdict).toBe("reshoot");
    expect(err).toBe("");
  });

  test("--quiet prints the verdict and a line for each photo or gap that asks for something", async () => {
    const { out } = await run(["check", "jug", "--quiet"]);
    expect(out.split("\n")).toHaveLength(1 + 10 + 1);
    expect(out).toMatch(/^again\tjug_012\.jpg\tout of focus or shaken$/m);
  });

  test("what asks for nothing is printed with --all, and only then", async () => {
    expect((await run(["check", "jug"])).out).not.toContain("measured");
    expect((await run(["check", "jug", "--all"])).out).toContain(
      "(soft-photo: measured 1.67 px, limit 0.87 px",
    );
  });

  test("colour is for terminals, unless the environment says otherwise", async () => {
    const colour = async (screen: Screen) =>
      (await run(["check", "jug"], auditing(), screen)).out.includes("\u001b[");
    expect(await colour({})).toBe(false);
    expect(await colour({ stdoutIsTTY: true })).toBe(true);
    expect(await colour({ stdoutIsTTY: true, env: { NO_COLOR: "1" } })).toBe(false);
    expect(await colour({ stdoutIsTTY: true, env: { TERM: "dumb" } })).toBe(false);
    expect(await colour({ env: { FORCE_COLOR: "1" } })).toBe(true);
    expect(await colour({ stdoutIsTTY: true, env: { FORCE_COLOR: "0" } })).toBe(false);
  });

  test("a terminal's width is used, a pipe gets 80 columns", async () => {
    const widest = async (screen: Screen) =>
      Math.max(
        ...(await run(["check", "jug"], auditing(), screen)).out.split("\n").map((line) => line.length),
      );
    expect(await widest({})).toBeLessThanOrEqual(80);
    expect(await widest({ stdoutIsTTY: true, columns: 60, env: { NO_COLOR: "1" } })).toBeLessThanOrEqual(60);
    expect(await widest({ stdoutIsTTY: true, columns: 120, env: { NO_COLOR: "1" } })).toBeGreaterThan(80);
  });

  test("progress is for terminals, one line, cleared at the end", async () => {
    const audit: Dependencies["audit"] = async (_, { onProgress } = {}) => {
      onProgress?.({ stage: "photos", done: 12, of: 48 });
      return cleanReport();
    };
    expect((await run(["check", "jug"], { audit })).err).toBe("");
    expect((await run(["check", "jug"], { audit }, { stderrIsTTY: true })).err).toBe(
      "\r\u001b[2KStep 1 of 2: 12 of 48 photos\r\u001b[2K",
    );
    expect((await run(["check", "jug", "--quiet"], { audit }, { stderrIsTTY: true })).err).toBe("");
  });
});

describe("check --debug", () => {
  test("tells where an error arose that made a photo unreadable, and goes on", async () => {
    const audit: Dependencies["audit"] = async (_, { onFault } = {}) => {
      onFault?.("jug\u001b.jpg", "TypeError: odd\n    at decodeJug (decode.js:1:1)");
      return cleanReport();
    };
    expect(await run(["check", "jug"], { audit })).toMatchObject({ code: 0, err: "" });
    expect(await run(["check", "jug", "--debug"], { audit })).toMatchObject({
      code: 0,
      err: "jug\\x1b.jpg: TypeError: odd\n    at decodeJug (decode.js:1:1)\n",
    });
  });
});

describe("check --limits", () => {
  const limitsFile = (text: string) => {
    const path = join(folder, "limits.json");
    writeFileSync(path, text);
    return path;
  };

  test("a file that is missing or no JSON is told before the work starts", async () => {
    expect((await run(["check", "jug", "--limits", join(folder, "no.json")], unasked)).err).toMatch(
      /it is not there/,
    );
    const { code, err } = await run(["check", "jug", "--limits", limitsFile("{")], unasked);
    expect(code).toBe(2);
    expect(err).toMatch(/does not parse/);
  });

  test("a wrong name lists the right ones", async () => {
    const { code, err } = await run(["check", "jug", "--limits", limitsFile('{"soft-foto": {}}')], unasked);
    expect(code).toBe(2);
    expect(err).toMatch(/soft-foto.*soft-photo/);
  });

  test("what the file says reaches the audit", async () => {
    let value: number | undefined;
    const { checks } = await import("#goodgate/checks/index.js");
    const name = Object.keys(checks.find(({ id }) => id === "too-few-photos")!.limits)[0]!;
    const audit: Dependencies["audit"] = async (_, options) => {
      value = options?.limits?.["too-few-photos"]?.[name]?.value;
      return cleanReport();
    };
    await run(["check", "jug", "--limits", limitsFile(`{"too-few-photos": {"${name}": 7}}`)], { audit });
    expect(value).toBe(7);
  });
});

describe("check --save", () => {
  const saved = () => join(folder, "report.json");

  test("writes the JSON beside the terminal report, under no other name", async () => {
    const { code, out } = await run(["check", "jug", "--save", saved()]);
    expect(code).toBe(1);
    expect(out).toMatch(/^RESHOOT/);
    expect(JSON.parse(readFileSync(saved(), "utf8")).schemaVersion).toBe(2);
    expect(readdirSync(folder)).toEqual(["report.json"]);
  });

  test("an existing file is refused before the work starts, and left alone", async () => {
    const report = '{ "schemaVersion": 1, "tool": { "name": "goodgate" } }';
    writeFileSync(saved(), report);
    const { code, err } = await run(["check", "jug", "--save", saved()], unasked);
    expect(code).toBe(2);
    expect(err).toMatch(/exists.*--force/);
    expect(readFileSync(saved(), "utf8")).toBe(report);
  });

  test("--force is not offered for a file that it would refuse to replace", async () => {
    writeFileSync(saved(), "pixels");
    const { code, err } = await run(["check", "jug", "--save", saved()], unasked);
    expect(code).toBe(2);
    expect(err).toMatch(/exists: name another/);
    expect(err).not.toContain("--force");
  });

  test("--force replaces a report saved before, and nothing else", async () => {
    await run(["check", "jug", "--save", saved()], auditing(cleanReport()));
    expect((await run(["check", "jug", "--save", saved(), "--force"])).code).toBe(1);
    expect(JSON.parse(readFileSync(saved(), "utf8")).verdict).toBe("reshoot");
    const precious = join(folder, "jug_001.jpg");
    writeFileSync(precious, "pixels");
    const { code, err } = await run(["check", "jug", "--save", precious, "--force"], unasked);
    expect(code).toBe(2);
    expect(err).toMatch(/something else/);
    expect(readFileSync(precious, "utf8")).toBe("pixels");
  });

  test("a folder, or a place that is not there, is told before the work starts", async () => {
    expect((await run(["check", "jug", "--save", folder], unasked)).err).toMatch(/is a folder/);
    expect((await run(["check", "jug", "--save", join(folder, "no", "r.json")], unasked)).err).toMatch(
      /no folder/,
    );
  });

  test.skipIf(process.getuid?.() === 0)(
    "a folder that may not be written is told before the work starts",
    async () => {
      const closed = join(folder, "closed");
      mkdirSync(closed);
      chmodSync(closed, 0o500);
      const { code, err } = await run(["check", "jug", "--save", join(closed, "r.json")], unasked);
      expect(code).toBe(2);
      expect(err).toMatch(/the system does not allow it/);
    },
  );

  test("a run that fails saves nothing", async () => {
    const audit = async () => {
      throw new Error("odd");
    };
    await run(["check", "jug", "--save", saved()], { audit });
    expect(readdirSync(folder)).toEqual([]);
  });
});

describe("a run stopped from outside", () => {
  test("ends with 2 at once, even where the work winds down slowly, and leaves nothing", async () => {
    const io = capturedIo({ stderrIsTTY: true });
    let aborted = false;
    const audit: Dependencies["audit"] = (_, options = {}) => {
      options.signal?.addEventListener("abort", () => {
        aborted = true;
      });
      options.onProgress?.({ stage: "photos", done: 1, of: 9 });
      queueMicrotask(io.stop);
      return new Promise(() => {});
    };
    const saved = join(folder, "report.json");
    expect(await main(["check", "jug", "--save", saved], io, { audit })).toBe(2);
    expect(aborted).toBe(true);
    expect(io.out()).toBe("");
    expect(io.err()).toMatch(/\r\u001b\[2Kgoodgate: Stopped before the end\. Nothing was left behind\.\n$/);
    expect(readdirSync(folder)).toEqual([]);
    expect(io.listening()).toBe(false);
  });

  test("a demo that is stopped ends with 2 and says so", async () => {
    const io = capturedIo();
    const renderDemo: Dependencies["renderDemo"] = async (_, { signal }) => {
      io.stop();
      signal.throwIfAborted();
      return 1;
    };
    expect(await main(["demo", join(folder, "new")], io, { renderDemo })).toBe(2);
    expect(io.err()).toMatch(/^goodgate: Stopped before the end/);
    expect(readdirSync(folder)).toEqual([]);
  });
});

describe("demo", () => {
  const renderDemo: Dependencies["renderDemo"] = async () => 48;

  test("renders into an empty or a new folder and says what comes next", async () => {
    const { code, out } = await run(["demo", join(folder, "my jug")], { renderDemo });
    expect(code).toBe(0);
    expect(out).toMatch(/^48 photos .*truth\.json/);
    expect(out).toContain(`goodgate check '${join(folder, "my jug")}'`);
  });

  test("refuses a folder that is not empty, and a file, and touches neither", async () => {
    const notes = join(folder, "notes.txt");
    writeFileSync(notes, "mine");
    for (const where of [folder, notes]) {
      const { code, err } = await run(["demo", where], { renderDemo });
      expect(code).toBe(2);
      expect(err).toMatch(/an empty or new folder/);
    }
    expect(readdirSync(folder)).toEqual(["notes.txt"]);
    expect(readFileSync(notes, "utf8")).toBe("mine");
  });

  test("a full disk is told as such, not as a fault of the program", async () => {
    const full = async () => {
      throw Object.assign(new Error("ENOSPC: no space left on device"), { code: "ENOSPC" });
    };
    const { code, err } = await run(["demo", join(folder, "new")], { renderDemo: full });
    expect(code).toBe(2);
    expect(err).toMatch(/^goodgate: Expected to write a set .* but the disk is full/);
  });

  test("hands the options on", async () => {
    let seen: Parameters<Dependencies["renderDemo"]>[1] | undefined;
    const catching: Dependencies["renderDemo"] = async (_, request) => {
      seen = request;
      return 1;
    };
    await run(["demo", join(folder, "a"), "--seed", "7", "--clean", "--jobs", "2"], { renderDemo: catching });
    expect(seen).toMatchObject({ seed: 7, clean: true, jobs: 2 });
  });
});

describe("checks", () => {
  test("lists every check, and explains each one", async () => {
    const { checks } = await import("#goodgate/checks/index.js");
    const { code, out } = await run(["checks"]);
    expect(code).toBe(0);
    for (const { id } of checks) {
      expect(out).toContain(id);
      const one = await run(["checks", id]);
      expect(one.code).toBe(0);
      expect(one.out).toContain("What to do");
    }
  });
});

describe("strict", () => {
  test("a set that fails for edits alone says what to do", async () => {
    const one = report(facts(jugNames(12).map((file) => photo(file))), {
      findings: [finding({ check: "exposure-step", severity: "edit", photos: ["jug_002.jpg"] })],
      strict: true,
    });
    const { code, out } = await run(["check", "jug", "--strict"], auditing(one));
    expect(code).toBe(1);
    expect(out).toMatch(/^TIDY[\s\S]*Edit 1 photo\./);
  });
});
