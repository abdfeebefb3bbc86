import type { Io, Output } from "#goodgate/cli.js";

export interface CapturedIo extends Io {
  /** All that was written so far. */
  readonly out: () => string;
  readonly err: () => string;
  /** Ends the run as Ctrl-C does. */
  readonly stop: () => void;
  /** Whether something still listens for the end of the run. */
  readonly listening: () => boolean;
}

export interface Screen {
  readonly stdoutIsTTY?: boolean;
  readonly stderrIsTTY?: boolean;
  readonly columns?: number;
  readonly env?: Readonly<Record<string, string>>;
}

/** A process that is none: streams that remember, and a Ctrl-C to press. */
export function capturedIo({
  stdoutIsTTY = false,
  stderrIsTTY = false,
  columns = 80,
  env = {},
}: Screen = {}): CapturedIo {
  const written = { out: "", err: "" };
  const stops = new Set<() => void>();
  const output = (name: "out" | "err", isTTY: boolean): Output => ({
    isTTY,
    columns: isTTY ? columns : undefined,
    write: async (text) => {
      written[name] += text;
    },
  });
  return {
    stdout: output("out", stdoutIsTTY),
    stderr: output("err", stderrIsTTY),
    program: "goodgate",
    env,
    onStop(stop) {
      stops.add(stop);
      return () => stops.delete(stop);
    },
    out: () => written.out,
    err: () => written.err,
    stop: () => {
      for (const stop of stops) stop();
    },
    listening: () => stops.size > 0,
  };
}
