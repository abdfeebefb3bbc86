import type { SetVerdict } from "../types/judgement.js";

/** A stream a command writes to. */
export interface Output {
  /** Resolves once the text is handed over. A pipe closed by its reader counts as done. */
  write(text: string): Promise<void>;
  readonly isTTY: boolean;
  /** Width of the screen; absent where there is none. */
  readonly columns?: number | undefined;
}

/** All of the process that a command sees, so that tests can hand it another. */
export interface Io {
  readonly stdout: Output;
  readonly stderr: Output;
  /** What to type to start the program once more. */
  readonly program: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Calls `stop` once when the user or the system ends the run; returns how to stop listening. */
  onStop(stop: () => void): () => void;
}

export type ExitCode = 0 | 1 | 2;
export const passCode = 0;
export const reshootCode = 1;
export const noVerdictCode = 2;

/** The exit code of each verdict: what could not be judged ends as what could not be read does. */
export const verdictCodes: Readonly<Record<SetVerdict, ExitCode>> = {
  pass: passCode,
  tidy: reshootCode,
  reshoot: reshootCode,
  "cannot-tell": noVerdictCode,
};

/** Whether to write in colour: FORCE_COLOR decides, then NO_COLOR, then whether the stream is a terminal. */
export function wantsColour(output: Output, env: Io["env"]): boolean {
  const forced = env.FORCE_COLOR;
  if (forced !== undefined && forced !== "") return forced !== "0" && forced !== "false";
  if (env.NO_COLOR !== undefined && env.NO_COLOR !== "") return false;
  return output.isTTY && env.TERM !== "dumb";
}

const columnsWithoutScreen = 80;

/** Width to write for: the screen's, or 80 into a pipe or a file. */
export function columnsOf(output: Output): number {
  return output.isTTY ? (output.columns ?? columnsWithoutScreen) : columnsWithoutScreen;
}
