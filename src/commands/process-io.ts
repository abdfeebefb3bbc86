import type { Writable } from "node:stream";
import { errorCode } from "../errors.js";
import { CommandError, fileReason } from "./errors.js";
import type { Io, Output } from "./io.js";
import { startedAs } from "./shell.js";

const stopSignals = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** The real process. The one place that touches its streams and signals. */
export function processIo(): Io {
  return {
    stdout: outputTo(process.stdout, "the result"),
    stderr: outputTo(process.stderr, "messages"),
    program: startedAs(process.argv[1] ?? "goodgate", workingFolder()),
    env: process.env,
    onStop(stop) {
      const once = () => {
        // A second Ctrl-C then ends the process at once, as the system does by itself.
        release();
        stop();
      };
      const release = () => {
        for (const name of stopSignals) process.off(name, once);
      };
      for (const name of stopSignals) process.on(name, once);
      return release;
    },
  };
}

function outputTo(stream: Writable & { isTTY?: boolean; columns?: number }, what: string): Output {
  // Every failed write is reported to its callback; without a listener the event would end the process.
  stream.on("error", () => {});
  let closed = false;
  return {
    isTTY: stream.isTTY === true,
    get columns() {
      return stream.columns;
    },
    write: (text) =>
      new Promise((resolve, reject) => {
        if (closed) return resolve();
        stream.write(text, (error) => {
          if (!error) return resolve();
          closed = true;
          // The reader has seen enough (`| head`): no fault of anyone's.
          if (errorCode(error) === "EPIPE" || errorCode(error) === "ERR_STREAM_DESTROYED") return resolve();
          reject(new CommandError(`to write ${what}`, fileReason(error), "send it somewhere else"));
        });
      }),
  };
}

/** Where the shell stands; the root where that folder was deleted meanwhile, so that paths are shown whole. */
function workingFolder(): string {
  try {
    return process.cwd();
  } catch {
    return "/";
  }
}
