import { expect, it } from "vitest";
import { isCrash } from "../../server/bench/things/outcome.ts";
import { freshJournal } from "./bench.ts";
import { fillInBulk } from "./bulkRecord.ts";

it("fills a journal with as many builds and attempts as asked for, passes and crashes among them", () => {
  const journal = freshJournal();
  fillInBulk(journal, { builds: 5, attempts: 1000, seed: 3 });
  expect(journal.attempts.count()).toBe(1000);
  const builds = journal.builds.all();
  expect(builds).toHaveLength(5);
  for (const build of builds) {
    const own = journal.attempts.allOf(build.id);
    expect(own).toHaveLength(200);
    expect(own.filter((attempt) => attempt.outcome === "pass").length).toBeGreaterThan(40);
    expect(own.filter((attempt) => isCrash(attempt.outcome)).length).toBeGreaterThan(20);
    expect(new Set(own.map((attempt) => attempt.voltageMv)).size).toBe(7);
    expect(new Set(own.map((attempt) => attempt.startedAt)).size).toBe(200);
  }
  expect(journal.faults()).toEqual([]);
});

it("fills the same for the same seed", () => {
  const size = { builds: 2, attempts: 60, seed: 4 };
  const [one, two] = [freshJournal(), freshJournal()];
  fillInBulk(one, size);
  fillInBulk(two, size);
  expect(two.attempts.all()).toEqual(one.attempts.all());
});
