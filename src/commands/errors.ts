import { ExplainedError, errorCode } from "../errors.js";

/** The command cannot do what it was asked. */
export class CommandError extends ExplainedError {
  override readonly name = "CommandError";
}

/** The run was ended from outside. */
export class StoppedError extends Error {
  constructor() {
    super("Stopped before the end. Nothing was left behind.");
    this.name = "StoppedError";
  }
}

/** Whether an error's message is written for the user; any other is a fault of ours. */
export function isExplained(error: unknown): error is Error {
  return error instanceof ExplainedError || error instanceof StoppedError;
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
