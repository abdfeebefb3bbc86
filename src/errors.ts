/**
 * What was asked for cannot be done, and it is no fault of the program. `message` is one sentence made of the three
 * parts, so that a person at a terminal reads what was wanted, what is there, and the way out.
 */
export class ExplainedError extends Error {
  override readonly name: string = "ExplainedError";
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
    this.expected = expected;
    this.found = found;
    this.nextStep = nextStep;
  }
}

/** The system lets this process open no more files. */
export function isTooManyOpen(error: unknown): boolean {
  // Between threads an error keeps its message alone.
  return error instanceof Error && /\bE[MN]FILE\b/.test(error.message);
}

/** What is expected, found and to be done where {@link isTooManyOpen}. */
export const TOO_MANY_OPEN = [
  "to open some hundred files at a time",
  "the system allows fewer",
  "raise its limit (ulimit -n 1024), and run again",
] as const;

/** The code of a file system error ("ENOENT"), or undefined for any other error. */
export function errorCode(error: unknown): string | undefined {
  const code = (error as { code?: unknown } | undefined)?.code;
  return typeof code === "string" ? code : undefined;
}
