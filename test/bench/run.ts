/** Runs a command and says what it took. */
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface Cost {
  readonly wallS: number;
  /** User and system, of the process and the children it waited for. */
  readonly cpuS: number;
  /** Peak resident memory of the largest single process. */
  readonly peakMib: number;
}

export interface Run extends Cost {
  readonly exitCode: number;
  readonly stdout: string;
}

/** Reads rusage, children included, which Node offers for itself only. @see GNU time 1.9, option -f */
const TIME = "/usr/bin/time";

/**
 * @param env variables beside those of this process
 * @throws Error where GNU time is missing or the command cannot be started
 */
export async function runMeasured(
  command: string,
  args: readonly string[],
  cwd: string,
  env: Readonly<Record<string, string>> = {},
): Promise<Run> {
  const folder = await mkdtemp(join(tmpdir(), "bench-"));
  const costs = join(folder, "costs");
  try {
    const start = performance.now();
    const { exitCode, stdout } = await spawned(
      TIME,
      ["-q", "-f", "%U %S %M", "-o", costs, command, ...args],
      cwd,
      env,
    );
    const wallS = (performance.now() - start) / 1000;
    const [user, system, peakKib] = (await readFile(costs, "utf8")).trim().split(" ").map(Number);
    return { exitCode, stdout, wallS, cpuS: user + system, peakMib: peakKib / 1024 };
  } finally {
    await rm(folder, { recursive: true });
  }
}

function spawned(
  command: string,
  args: readonly string[],
  cwd: string,
  env: Readonly<Record<string, string>>,
): Promise<{ exitCode: number; stdout: string }> {
  return new Promise((settle, fail) => {
    const child = spawn(command, args, {
      cwd,
      env: { ...process.env, ...env },
      stdio: ["ignore", "pipe", "inherit"],
    });
    let stdout = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => {
      stdout += text;
    });
    child.on("error", (error) =>
      fail(new Error(`cannot run ${command} (GNU time is needed): ${error.message}`)),
    );
    child.on("close", (code) => settle({ exitCode: code ?? -1, stdout }));
  });
}

export function medianCost(costs: readonly Cost[]): Cost {
  const median = (pick: (cost: Cost) => number): number => {
    const sorted = costs.map(pick).sort((a, b) => a - b);
    return (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
  };
  return {
    wallS: median((cost) => cost.wallS),
    cpuS: median((cost) => cost.cpuS),
    peakMib: median((cost) => cost.peakMib),
  };
}
