export function echo(value: unknown): unknown;
export function wait(task: { readonly value: unknown; readonly ms: number }): Promise<unknown>;
export function fail(message: string): never;
export function exit(task: unknown): never;
export function crash(task: unknown): Promise<never>;
export function spin(begun: Int32Array): never;
export function which(task: undefined): number;
export function write(bytes: Uint8Array): string;
