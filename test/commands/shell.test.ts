import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { shellWord, startedAs } from "#goodgate/commands/shell.js";

describe("startedAs", () => {
  const home = join("/", "home", "ada");

  test("a name on the path is that name", () =>
    expect(startedAs("/usr/local/bin/goodgate", home)).toBe("goodgate"));

  test("the file itself is started by node, named from the working folder where it lies inside", () => {
    expect(startedAs(join(home, "goodgate", "bin", "goodgate.js"), join(home, "goodgate"))).toBe(
      `node ${join("bin", "goodgate.js")}`,
    );
    expect(startedAs("/opt/good gate/bin/goodgate.js", home)).toBe("node '/opt/good gate/bin/goodgate.js'");
  });

  test("an installed package is started by npx", () => {
    const bin = join(home, "props", "node_modules", ".bin", "goodgate");
    expect(startedAs(bin, home)).toBe("npx goodgate");
  });
});

test("shellWord quotes what a shell would take apart", () => {
  expect(shellWord("sets/jug_1")).toBe("sets/jug_1");
  expect(shellWord("Ada's jug")).toBe("'Ada'\\''s jug'");
});
