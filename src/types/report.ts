import type { Facts } from "./facts.js";
import type { Judgement } from "./judgement.js";

export interface Counts {
  readonly photos: number;
  readonly pass: number;
  readonly edit: number;
  readonly leaveOut: number;
  readonly reshoot: number;
  readonly toAdd: number;
}

/** What the renderers get. */
export interface Report {
  readonly tool: { readonly name: string; readonly version: string };
  readonly facts: Facts;
  readonly judgement: Judgement;
  readonly counts: Counts;
}
