import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { reasonOf, type Task, type TaskKind, toDo } from "#goodgate/report/to-do.js";
import { aroundParts } from "../support/around.js";
import { facts, finding, jugNames, m, photo, report } from "../support/facts.js";
import { cleanReport, jugReport } from "../support/jug-report.js";

const ofKind = (tasks: readonly Task[], kind: TaskKind): readonly Task[] =>
  tasks.filter((task) => task.kind === kind);

/** Twelve photos of one ring, an hour apart, the first at 6 o'clock. */
const ring = jugNames(12);
const ringed = facts(
  ring.map((file) => photo(file)),
  { around: aroundParts([ring.map((file, i) => ({ file, azimuthDeg: 30 * i, elevationDeg: 8 }))]) },
);
const soft = (file: string) =>
  finding({
    check: "soft-photo",
    severity: "reshoot",
    photos: [file],
    message: `${file} is out of focus: its edges are wide.`,
    advice: "Take it again.",
  });

describe("toDo", () => {
  test("a set without fault asks for nothing, its notes are counted", () => {
    const { tasks, notes } = toDo(cleanReport());
    expect(tasks).toEqual([]);
    expect(notes).toBe(cleanReport().judgement.findings.length);
    expect(notes).toBeGreaterThan(0);
  });

  test("files come before the walk, the walk before the folder and the editor", () => {
    const kinds = toDo(jugReport()).tasks.map(({ kind }) => kind);
    expect(kinds).toEqual(["files", "files", "add", "again", "again", "out", "out", "edit"]);
  });

  test("every finding that asks for something is in the list, once", () => {
    const one = jugReport();
    const told = toDo(one).tasks.flatMap(({ findings }) => findings);
    const asking = one.judgement.findings.filter(({ severity }) => severity !== "note");
    expect(new Set(told)).toEqual(new Set(asking));
    expect(told).toHaveLength(asking.length);
  });

  test("a photo to take again is given its direction, its height and the good photos beside it", () => {
    const [task] = toDo(report(ringed, { findings: [soft(ring[4]!)] })).tasks;
    expect(task).toMatchObject({ kind: "again", photos: [ring[4]], shots: 1, reasons: ["out of focus"] });
    // Four hours on from 6 o'clock.
    expect(task!.place).toMatchObject({ hour: 10, height: "low", sixOClock: ring[0] });
    expect(task!.place!.between).toEqual([ring[3], ring[5]]);
  });

  test("photos side by side with the same fault are one task, between the good ones to both sides", () => {
    const { tasks } = toDo(report(ringed, { findings: [ring[4]!, ring[5]!, ring[6]!].map(soft) }));
    expect(tasks).toHaveLength(1);
    expect(tasks[0]).toMatchObject({ photos: ring.slice(4, 7), shots: 3 });
    expect(tasks[0]!.place).toMatchObject({ hour: 10, toHour: 12, between: [ring[3], ring[7]] });
  });

  test("the walk goes clockwise from 6 o'clock, whatever order the findings come in", () => {
    fc.assert(
      fc.property(fc.shuffledSubarray([1, 3, 5, 7, 9, 11]), (places) => {
        const { tasks } = toDo(report(ringed, { findings: places.map((i) => soft(ring[i]!)) }));
        expect(tasks.flatMap(({ photos }) => photos)).toEqual(
          places.toSorted((a, b) => a - b).map((i) => ring[i]),
        );
      }),
      { seed: 11, numRuns: 40 },
    );
  });

  test("photos with several faults are one task each, with all of them", () => {
    const task = toDo(jugReport()).tasks.find(({ photos }) => photos.includes("jug_030.jpg"))!;
    expect(task.photos).toEqual(["jug_030.jpg"]);
    expect(task.reasons).toEqual(["burnt out", "out of focus or shaken"]);
    expect(task.place).toMatchObject({ hour: 9, height: "middle", between: ["jug_029.jpg", "jug_031.jpg"] });
  });

  test("a gap is a place with the photos to both sides and how many to take", () => {
    const [task] = ofKind(toDo(jugReport()).tasks, "add");
    expect(task).toMatchObject({ shots: 2, photos: [], reasons: ["a gap of 44 degrees"] });
    expect(task!.place).toMatchObject({ hour: 10, height: "low", between: ["jug_010.jpg", "jug_011.jpg"] });
  });

  test("a file that cannot be read is to be copied, not to be taken again", () => {
    const { tasks } = toDo(jugReport());
    expect(ofKind(tasks, "files")[0]).toMatchObject({
      photos: ["jug_049.jpg"],
      shots: 0,
      reasons: ["the file ends in the middle of the picture"],
    });
    expect(ofKind(tasks, "again").flatMap(({ photos }) => photos)).not.toContain("jug_049.jpg");
  });

  test("a photo without a place stood between those taken before and after it, where times give the order", () => {
    const files = jugNames(4);
    const found = { findings: [soft(files[1]!)] };
    const known = facts(files.map((file) => photo(file)));
    const place = (about = known) => toDo(report(about, found)).tasks[0]!.place;
    expect(place()).toMatchObject({ between: [files[0], files[2]] });
    expect(place()!.hour).toBeUndefined();
    expect(place({ ...known, orderedBy: "file name" })).toBeUndefined();
  });

  test("a photo to be edited is there to stand beside, one to be moved out is not", () => {
    const findings = [
      soft(ring[4]!),
      finding({ check: "exposure-step", severity: "edit", photos: [ring[3]!] }),
      finding({ check: "stray-photo", severity: "leave-out", photos: [ring[5]!] }),
    ];
    const [task] = ofKind(toDo(report(ringed, { findings })).tasks, "again");
    expect(task!.place!.between).toEqual([ring[3], ring[6]]);
  });

  test("photos to edit alike are one task; what one advice says for two reasons is said once", () => {
    const darker = (file: string) =>
      finding({
        check: "exposure-step",
        severity: "edit",
        photos: [file],
        message: `${file} is 0.5 stops brighter.`,
        advice: "Make it 0.5 stops darker.",
        measured: m(0.5, "stops"),
      });
    const { tasks } = toDo(report(ringed, { findings: [darker(ring[1]!), darker(ring[8]!)] }));
    expect(tasks).toHaveLength(1);
    expect(tasks[0]).toMatchObject({
      photos: [ring[1], ring[8]],
      reasons: ["0.5 stops brighter"],
      advice: ["Make it 0.5 stops darker."],
    });
  });

  test("of advice that names other photos each time, what all say is kept", () => {
    const stray = (file: string, beside: string) =>
      finding({
        check: "stray-photo",
        severity: "leave-out",
        photos: [file],
        message: `${file} shows nothing that the rest shows.`,
        advice: `Move it out. Or go on from ${beside}.`,
      });
    const findings = [stray(ring[1]!, ring[2]!), stray(ring[6]!, ring[7]!)];
    const { tasks } = toDo(report(ringed, { findings }));
    expect(tasks).toHaveLength(1);
    expect(tasks[0]!.advice).toEqual(["Move it out."]);
  });

  test("what the verdict says of the whole set is not said again, only what to do", () => {
    const one = report(ringed, {
      findings: [
        {
          ...finding({ check: "no-parallax", about: "set", severity: "reshoot", photos: [] }),
          whatItIs: "alone",
        },
      ] as never,
    });
    expect(one.judgement.whatItIs).toBeDefined();
    expect(toDo(one).tasks).toMatchObject([{ kind: "set", reasons: [], advice: ["Put it right."] }]);
  });
});

describe("reasonOf", () => {
  test.each([
    ["jug_1.jpg is burnt out: 93 % of it is white.", "burnt out"],
    ["jug_1.jpg shows nothing that the rest shows.", "shows nothing that the rest shows"],
    ["jug_1.jpg was taken at another zoom or lens: 2 times closer.", "was taken at another zoom or lens"],
    ["These photos are grainy.", "These photos are grainy"],
  ])("%s", (message, reason) => {
    expect(reasonOf(finding({ check: "a", severity: "reshoot", photos: ["jug_1.jpg"], message }))).toBe(
      reason,
    );
  });
});
