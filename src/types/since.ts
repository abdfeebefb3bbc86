/** What a run asked its user to do, by what it was about. */
export interface Asked {
  /** A photo, or the two photos beside a place to add some. */
  readonly about: readonly string[];
  /** Checks that asked for it. */
  readonly checks: readonly string[];
  /** To be moved out of the folder. */
  readonly out: boolean;
}

/** What has become of it since the last run that asked for something else. */
export interface SinceLastRun {
  /** What is no longer asked for, though it was judged again, or moved out as it was asked. */
  readonly mended: readonly Asked[];
  readonly added: readonly Asked[];
  readonly left: readonly Asked[];
}
