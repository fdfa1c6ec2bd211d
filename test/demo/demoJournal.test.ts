import { expect, it } from "vitest";
import {
  type AttemptFieldName,
  attemptFieldNames,
  fieldDescription,
} from "../../server/bench/things/attemptFields.ts";
import { fillDemo, fillWithScenario } from "../../server/demo/demoJournal.ts";
import { otherBenches } from "../../server/demo/otherBenches.ts";
import { demoBench, demoScenario } from "../../server/demo/scenario.ts";
import { freshJournal, theInstant } from "../support/bench.ts";

it("a filled journal reads back as the scenario", () => {
  const journal = freshJournal();
  const demo = demoScenario(theInstant);
  fillDemo(journal, theInstant);
  for (const attempt of demo.attempts) expect(journal.attempts.find(attempt.id)).toEqual(attempt);
  for (const build of demo.builds) expect(journal.builds.find(build.id)).toEqual(build);
  for (const mount of demo.mounts) expect(journal.mounts.find(mount.id)).toEqual(mount);
  for (const reading of demo.noise) expect(journal.noise.find(reading.id)).toEqual(reading);
  for (const chip of demo.chips) expect(journal.chips.find(chip.id)).toEqual(chip);
  for (const board of demo.boards) expect(journal.boards.find(board.id)).toEqual(board);
  for (const rule of demo.rules) expect(journal.rules.find(rule.id)).toEqual(rule);
  for (const workload of demo.workloads) expect(journal.workloads.find(workload.id)).toEqual(workload);
  const { spare, logged } = demoBench(theInstant);
  const others = otherBenches(theInstant);
  const beside = [...spare.attempts, ...logged.attempts, ...others.attempts];
  for (const attempt of beside) expect(journal.attempts.find(attempt.id)).toEqual(attempt);
  for (const chip of others.chips) expect(journal.chips.find(chip.id)).toEqual(chip);
  for (const build of others.builds) expect(journal.builds.find(build.id)).toEqual(build);
  expect(journal.attempts.count()).toBe(demo.attempts.length + beside.length);
  expect(others.attempts.map(({ id }) => id)).not.toContain(journal.attempts.newest()?.id);
  expect(journal.faults()).toEqual([]);
});

it("puts each attempt with the mount the journal would give it, and each build as it is last", () => {
  const journal = freshJournal();
  const demo = demoScenario(theInstant);
  fillDemo(journal, theInstant);
  for (const { buildId, startedAt, mountId } of demo.attempts)
    expect(journal.mounts.at(buildId, startedAt)).toBe(mountId);
  for (const build of demo.builds) {
    const states = [...journal.builds.statesOf(build.id).keys()];
    expect(journal.builds.stateOf(build)).toBe(Math.max(...states));
  }
});

it("is filled in one commit, or not at all", () => {
  const journal = freshJournal();
  const before = journal.revision();
  fillDemo(journal, theInstant);
  expect(journal.revision()).toBe(before + 1);
  const other = freshJournal();
  const demo = demoScenario(theInstant);
  const broken = { ...demo, noise: demo.noise.map((reading) => ({ ...reading, buildId: "nowhere" })) };
  expect(() => fillWithScenario(other, broken)).toThrow();
  expect([other.attempts.count(), other.chips.count(), other.builds.count()]).toEqual([0, 0, 0]);
});

it("adds a title, a caveat and a picture of its own to the account of the two boards", () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const [caveat, title] = journal.writeUpWords.all();
  expect([caveat?.slot, title?.slot]).toEqual(["caveats", "title"]);
  const named = title?.builds.split(",").map((id) => journal.builds.find(id)?.name);
  expect(named).toEqual(["Open frame, Quay L", "Open frame, Quay S"]);
  const [picture] = journal.pictures.all();
  expect(picture).toMatchObject({ type: "image/png", widthPx: 400, heightPx: 300 });
  expect(picture?.caption).toContain("Drawn for the demo");
});

it("keeps the sensor traces of its heat runs, value for value", () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const { traces, loggedTraces } = demoBench(theInstant);
  const kept = [...traces(), ...loggedTraces()];
  expect(kept.length).toBeGreaterThanOrEqual(8);
  expect(journal.traces.attempts.ids()).toEqual(kept.map(({ attemptId }) => attemptId).sort());
  for (const { attemptId, startedAt, rows } of kept) {
    expect(journal.traces.outline(attemptId)).toMatchObject({ rows: rows.length, startedAt });
    const columns = journal.traces.whole(attemptId, ["temperature", "fan"]);
    expect(Array.from(columns.get("temperature") ?? [])).toEqual(rows.map(({ tempC }) => tempC));
    expect(Array.from(columns.get("fan") ?? [])).toEqual(rows.map(({ fanRpm }) => fanRpm));
  }
});

it("says every field of an attempt somewhere", () => {
  const journal = freshJournal();
  fillDemo(journal, theInstant);
  const attempts = journal.builds.all().flatMap(({ id }) => [...journal.attempts.allOf(id)]);
  const isSaid = (name: AttemptFieldName): boolean =>
    attempts.some((one) => {
      const blank = fieldDescription[name].blank ?? null;
      return JSON.stringify(one[name] ?? null) !== JSON.stringify(blank);
    });
  expect(attemptFieldNames.filter((name) => !isSaid(name))).toEqual([]);
});
