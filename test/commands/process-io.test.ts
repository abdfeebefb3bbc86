import { spawn, spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { describe, expect, test } from "vitest";

const goodgate = ["bin/goodgate.js"];

describe("the real process", () => {
  test("a full disk under stdout is a clear sentence and 2", () => {
    if (!existsSync("/dev/full")) return;
    const { status, stderr } = spawnSync(
      "sh",
      ["-c", `"${process.execPath}" bin/goodgate.js checks > /dev/full`],
      {
        encoding: "utf8",
      },
    );
    expect(status).toBe(2);
    expect(stderr).toBe(
      "goodgate: Expected to write the result, but the disk is full: send it somewhere else.\n",
    );
  });

  test("a reader that leaves early is no fault", async () => {
    const child = spawn(process.execPath, [...goodgate, "checks"]);
    child.stdout.destroy();
    let stderr = "";
    child.stderr.on("data", (chunk) => {
      stderr += chunk;
    });
    const status = await new Promise((resolve) => child.on("close", resolve));
    expect([status, stderr]).toEqual([0, ""]);
  });

  test("a missing folder is 2 and says so", () => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [...goodgate, "check", "no/such/folder"], {
      encoding: "utf8",
    });
    expect([status, stdout]).toEqual([2, ""]);
    expect(stderr).toMatch(/^goodgate: Expected .*no\/such\/folder/);
  });
});
