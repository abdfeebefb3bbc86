/** The command cannot do what it was asked. `message` is one sentence made of the three parts. */
export class CommandError extends Error {
  readonly expected: string;
  readonly found: string;
  readonly nextStep: string;

  /**
   * @param expected a noun phrase: "a whole number of photos"
   * @param found a clause: "--at-most is 'many'"
   * @param nextStep an instruction: "write --at-most 80"
   */
  constructor(expected: string, found: string, nextStep: string) {
    super(`Expected ${expected}, but ${found}: ${nextStep}.`);
    this.name = "CommandError";
    this.expected = expected;
    this.found = found;
    this.nextStep = nextStep;
  }
}

/** The run was ended from outside. */
export class StoppedError extends Error {
  constructor() {
    super("Stopped before the end. Nothing was left behind.");
    this.name = "StoppedError";
  }
}

const explained = new Set([
  "CommandError",
  "StoppedError",
  "GatherError",
  "LimitsError",
  "FolderNotEmptyError",
]);

/** Whether an error's message is written for the user; any other is a fault of ours. */
export function isExplained(error: unknown): error is Error {
  return error instanceof Error && explained.has(error.name);
}

/** The code of a file system error ("ENOENT"), or undefined for any other error. */
export function errorCode(error: unknown): string | undefined {
  const code = (error as { code?: unknown } | undefined)?.code;
  return typeof code === "string" ? code : undefined;
}

const reasons: Readonly<Record<string, string>> = {
  ENOENT: "it is not there",
  ENOTDIR: "there is a file in the way",
  EISDIR: "it is a folder",
  EACCES: "the system does not allow it",
  EPERM: "the system does not allow it",
  EROFS: "the disk is read-only",
  ENOSPC: "the disk is full",
  EDQUOT: "the disk quota is used up",
  EIO: "the disk does not answer",
  ENAMETOOLONG: "the name is too long",
};

/** Why the file system refused, as a clause for people. */
export function fileReason(error: unknown): string {
  const code = errorCode(error);
  return (code === undefined ? undefined : reasons[code]) ?? `the system says ${code ?? String(error)}`;
}
