/**
 * Natural order of file names: numbers by value ("jug-2" before "jug-10"), letters without regard to case,
 * folders before what follows them in name. The same on every machine: no locale takes part.
 * A total order: 0 only for equal strings, so sorting is stable and repeatable whatever the folder lists first.
 * @returns negative where a comes first, positive where b does, 0 where they are the same string
 */
export function compareNatural(a: string, b: string): number {
  if (a === b) return 0;
  const left = a.split("/");
  const right = b.split("/");
  const shared = Math.min(left.length, right.length);
  for (let i = 0; i < shared; i++) {
    const ends = i === left.length - 1 && i === right.length - 1;
    const order = ends ? compareFiles(left[i], right[i]) : compareRuns(left[i], right[i]);
    if (order !== 0) return order;
  }
  if (left.length !== right.length) return left.length - right.length;
  // Same but for case or leading zeros: code units decide, so that the order is total.
  return a < b ? -1 : 1;
}

/** Runs of digits and runs of anything else, in turn; a name that starts with a digit has an empty first run. */
function runs(name: string): string[] {
  return name.split(/([0-9]+)/);
}

/** Stem before extension, so that "jug.jpg" comes before "jug-10.jpg" and "jug1 (2).jpg" after "jug1.jpg". */
function compareFiles(a: string, b: string): number {
  const [leftStem, leftExtension] = splitExtension(a);
  const [rightStem, rightExtension] = splitExtension(b);
  return compareRuns(leftStem, rightStem) || compareRuns(leftExtension, rightExtension);
}

function splitExtension(name: string): [stem: string, extension: string] {
  const dot = name.lastIndexOf(".");
  return dot > 0 ? [name.slice(0, dot), name.slice(dot + 1)] : [name, ""];
}

function compareRuns(a: string, b: string): number {
  const left = runs(a.toLowerCase());
  const right = runs(b.toLowerCase());
  const shared = Math.min(left.length, right.length);
  for (let i = 0; i < shared; i++) {
    // Odd places hold digits on both sides, so that a number always meets a number.
    const order = i % 2 === 1 ? compareDigits(left[i], right[i]) : compareText(left[i], right[i]);
    if (order !== 0) return order;
  }
  return left.length - right.length;
}

/** By value, whatever the length: a number that does not fit a double still sorts right. */
function compareDigits(a: string, b: string): number {
  const left = a.replace(/^0+/, "");
  const right = b.replace(/^0+/, "");
  return left.length - right.length || compareText(left, right);
}

function compareText(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
