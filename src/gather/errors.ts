/**
 * The folder cannot be audited. `message` is one sentence made of the three parts, so that a person at a
 * terminal reads what was wanted, what is there, and the way out.
 */
export class GatherError extends Error {
  readonly expected: string;
  readonly found: string;
  readonly nextStep: string;

  /**
   * @param expected a noun phrase: "a folder of photos"
   * @param found a clause: "jug.jpg is a single file"
   * @param nextStep an instruction: "give the folder that holds it"
   */
  constructor(expected: string, found: string, nextStep: string) {
    super(`Expected ${expected}, but ${found}: ${nextStep}.`);
    this.name = "GatherError";
    this.expected = expected;
    this.found = found;
    this.nextStep = nextStep;
  }
}

/** One photo that cannot be read. `reason` is one clause for people: what is wrong, and what to do. */
export class UnreadablePhoto extends Error {
  readonly reason: string;

  constructor(reason: string) {
    super(reason);
    this.name = "UnreadablePhoto";
    this.reason = reason;
  }
}

/** The reason where a file breaks off. */
export const CUT_SHORT = "the file ends early or is damaged: copy it again";

/** The code of a file system error ("ENOENT"), or undefined for any other error. */
export function errorCode(error: unknown): string | undefined {
  const code = (error as { code?: unknown } | undefined)?.code;
  return typeof code === "string" ? code : undefined;
}

/** Text from outside made safe to print: control characters and the marks that turn text around become "?". */
export function printable(text: string): string {
  // C0, DEL and C1 control characters, bidirectional marks and isolates, line and paragraph separators.
  return text.replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/g, "?");
}
