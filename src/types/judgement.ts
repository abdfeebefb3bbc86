import type { AroundPart, AroundStep } from "./around.js";
import type { Limit, Measure } from "./units.js";

export type Severity = "reshoot" | "leave-out" | "edit" | "note";

export type About = "photo" | "between" | "set";

/** A photo's verdict: the worst severity of the findings about photos that name it. */
export type PhotoVerdict = "pass" | "edit" | "leave-out" | "reshoot";

/**
 * "pass": every requirement is known to be met. "reshoot": something has to be shot. "tidy": nothing to shoot, photos are
 * to be moved out (or, where edits fail the set, edited). "cannot-tell": a requirement could not be judged.
 */
export type SetVerdict = "pass" | "tidy" | "reshoot" | "cannot-tell";

export type RequirementId =
  | "whole-folder"
  | "enough-photos"
  | "one-whole"
  | "around-subject"
  | "subject-in-frame"
  | "sharp-set"
  | "sharp-photos"
  | "clean-tones"
  | "even-exposure";

/** How a set stands to one requirement. */
export interface JudgedRequirement {
  readonly id: RequirementId;
  readonly state: "met" | "not met" | "not known";
  /** Why it is not known, one sentence; only there where it is not. */
  readonly reason?: string;
  /** What would make it known, one sentence. */
  readonly wayOut?: string;
}

/** What the set is, where that has to be said before anything about its photos. */
export interface WhatItIs {
  /** The check that saw it. */
  readonly check: string;
  /** One sentence, for a first line. */
  readonly message: string;
  readonly advice: string;
  /** Where the photos fall apart: which belong together, largest group first. */
  readonly groups?: readonly (readonly string[])[];
}

export interface Finding {
  readonly check: string;
  readonly about: About;
  readonly severity: Severity;
  /** File names; may be empty. For "between": the two photos, in capture order. */
  readonly photos: readonly string[];
  readonly measured?: Measure;
  readonly limit?: Limit;
  /** One sentence: what is wrong. */
  readonly message: string;
  /** One sentence: what to do. */
  readonly advice: string;
  /** Photos to take for this finding beyond those it names, where that is known. */
  readonly toAdd?: number;
  /** Where it says that the photos fall apart: which belong together, largest group first. */
  readonly groups?: readonly (readonly string[])[];
}

/** A check that could not judge some photos (or, with an empty list, the set), and why. */
export interface Skipped {
  readonly check: string;
  readonly photos: readonly string[];
  readonly reason: string;
}

/** limits[check id][limit name]. */
export type Limits = Readonly<Record<string, Readonly<Record<string, Limit>>>>;

/** What the limits make of Facts.around. */
export interface JudgedAround {
  /** Parts whose cameras are placed surely enough to speak of, largest first. */
  readonly placed: readonly AroundPart[];
  /** Of the steps of all parts, those too wide to match by themselves, whatever photos of another height show. */
  readonly wide: ReadonlySet<AroundStep>;
  /** Of these, the gaps: beyond doubt, in rings, and with no photos of another height that lead across. */
  readonly gaps: ReadonlySet<AroundStep>;
}

export interface Judgement {
  readonly verdict: SetVerdict;
  /** Every requirement, in the order they are reported. */
  readonly requirements: readonly JudgedRequirement[];
  /** There where the set as a whole is to be spoken of, and not its photos one by one. */
  readonly whatItIs?: WhatItIs;
  /** One a photo of Facts.photos, then one a file of Facts.unreadable ("reshoot"). */
  readonly photoVerdicts: ReadonlyMap<string, PhotoVerdict>;
  readonly findings: readonly Finding[];
  readonly skipped: readonly Skipped[];
  readonly around: JudgedAround;
  readonly limits: Limits;
  /** Findings of severity "edit" failed the set, too. */
  readonly strict?: true;
  /** The set is to be taken anew: what is good in it is of no use by itself. */
  readonly anew?: true;
}
