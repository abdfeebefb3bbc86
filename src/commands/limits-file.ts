import type { Limits } from "../types/judgement.js";
import type { Dependencies } from "./dependencies.js";
import { CommandError } from "./errors.js";
import { readPlainFile } from "./plain-file.js";

/** All limits there are take 10 kB. */
const LIMITS_FILE = {
  what: "a file of limits after --limits",
  remedy: "name a JSON file of limits",
  mostMib: 1,
};
/** Limits lie two deep; what is deeper is something else, and reading it can overflow the stack. */
const MOST_DEEP = 8;

const LOOKS_LIKE = 'it should look like {"soft-photo": {"blur": 1.5}}';

/**
 * The limits that a file sets, over those built in.
 * @throws CommandError where it cannot be read or is no JSON; LimitsError where what it says cannot be used
 */
export async function readLimits(path: string, mergeLimits: Dependencies["mergeLimits"]): Promise<Limits> {
  // Some editors put a byte-order mark first.
  const text = (await readPlainFile(path, LIMITS_FILE)).replace(/^\ufeff/, "");
  refuseDepth(path, text);
  return mergeLimits(parsed(path, text), path);
}

/** Brackets outside of strings. */
const STRINGS_AND_BRACKETS = /"(?:[^"\\]|\\.)*"|[[{]|[\]}]/gs;

function refuseDepth(path: string, text: string): void {
  let depth = 0;
  for (const [found] of text.matchAll(STRINGS_AND_BRACKETS)) {
    if (found === "[" || found === "{") depth++;
    else if (found === "]" || found === "}") depth--;
    if (depth > MOST_DEEP)
      throw new CommandError(`limits in ${JSON.stringify(path)}`, "it is nested too deep", LOOKS_LIKE);
  }
}

function parsed(path: string, text: string): unknown {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    const { message } = error as Error;
    throw new CommandError(
      `JSON in ${JSON.stringify(path)}`,
      `${lineOf(text, message)} does not parse (${message})`,
      `put that right; ${LOOKS_LIKE}`,
    );
  }
  const twice = keyGivenTwice(text);
  if (twice !== undefined)
    throw new CommandError(
      `each name once in ${JSON.stringify(path)}`,
      `${twice} is there twice`,
      "keep one",
    );
  const numbers = text.replace(/"(?:[^"\\]|\\.)*"/gs, "").match(/-?\d[\d.]*(?:[eE][+-]?\d+)?/g) ?? [];
  const endless = numbers.find((number) => !Number.isFinite(Number(number)));
  if (endless !== undefined)
    throw new CommandError(
      `numbers in ${JSON.stringify(path)}`,
      `${endless.slice(0, 20)} is larger than any that can be counted with`,
      "put that right",
    );
  return json;
}

/** A name that one object of a JSON text holds twice, as written; of those the parser would keep the last. */
function keyGivenTwice(text: string): string | undefined {
  const open: Set<string>[] = [];
  let last: string | undefined;
  for (const [found] of text.matchAll(/"(?:[^"\\]|\\.)*"|[[\]{},:]/gs)) {
    if (found === "{" || found === "[") open.push(new Set());
    else if (found === "}" || found === "]") open.pop();
    else if (found === ":" && last !== undefined) {
      const names = open.at(-1);
      const name: string = JSON.parse(last);
      if (names?.has(name)) return last;
      names?.add(name);
    }
    last = found.startsWith('"') ? found : undefined;
  }
  return undefined;
}

/** "line 3" where the parser names a position, "it" where not. */
function lineOf(text: string, message: string): string {
  const [, position] = /position (\d+)/.exec(message) ?? [];
  return position === undefined ? "it" : `line ${text.slice(0, Number(position)).split("\n").length}`;
}
