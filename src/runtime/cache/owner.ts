import { createHash } from "node:crypto";
import { readlinkSync } from "node:fs";
import { hostname } from "node:os";

/** Where a process number means something: this computer, and of it the container that the run lives in. */
function numbering(): string {
  try {
    return readlinkSync("/proc/self/ns/pid");
  } catch {
    return "";
  }
}

const here = createHash("sha256").update(`${hostname()} ${numbering()}`).digest("hex").slice(0, 8);

/** In the names of what a run leaves behind where it is killed: whose it is. */
export const OWNER = `${here}-${process.pid}`;
/** Matches {@link OWNER} of any run, its two parts as groups. */
export const OWNER_PATTERN = "([0-9a-f]{8})-([0-9]+)";

/** Whether the run that put its name there is no more: known only of one that ran here. */
export function isGone(where: string, pid: string): boolean {
  if (where !== here) return false;
  try {
    process.kill(Number(pid), 0);
    return false;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "ESRCH";
  }
}
