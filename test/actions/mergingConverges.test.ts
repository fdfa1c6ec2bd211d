import { randomBytes } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { openJournal } from "../../server/store/file/journal.ts";
import { migrations, temporaryFolder } from "../support/bench.ts";
import {
  type Bench,
  begin,
  benchesFrom,
  doSomething,
  endAll,
  exportOf,
  heldBy,
  importInto,
  writeApart,
} from "../support/threeBenches.ts";

const histories = process.env.MODE === "long" ? 200 : 12;

/** Kept past each test, unlike other folders: to be opened and migrated once is enough. */
const folder = mkdtempSync(path.join(os.tmpdir(), "rungbook-benches-"));
afterAll(() => rmSync(folder, { recursive: true }));

function template(): string {
  const file = path.join(folder, "template.db");
  const journal = openJournal(path.join(folder, "begun.db"), { migrations, randomBytes });
  ensureStandardRule({ journal });
  journal.backUpTo(file);
  journal.close();
  return file;
}

/** Everyone hears from everyone: first one hears all, then all hear that one. */
function exchanged(benches: readonly Bench[]): void {
  const [first, ...others] = benches as [Bench, ...Bench[]];
  benches.forEach(endAll);
  for (const other of others) importInto(first, exportOf(other));
  for (const other of others) importInto(other, exportOf(first));
}

const countOf = (list: unknown): number => (Array.isArray(list) ? list.length : 0);

describe("three benches that exchange journals in any order", () => {
  const from = template();
  let [gaveWay, earlierWords] = [0, 0];

  it.each(Array.from({ length: histories }, (_, seed) => seed + 1))(
    "end up holding the same, history %i",
    (seed) => {
      const random = seededRandom(seed);
      let benches = benchesFrom(from, temporaryFolder(), random);
      begin(benches, random);
      let done = 0;
      let early = exportOf(benches[0] as Bench);
      for (let step = 0; step < 60; step += 1) {
        const [bench, other] = [benches[random.index(3)] as Bench, benches[random.index(3)] as Bench];
        if (random.uniform() < 0.12) {
          early = exportOf(other);
          importInto(bench, early);
        } else if (random.uniform() < 0.06) writeApart([bench, other], random);
        else if ("gave" in doSomething(bench, random)) done += 1;
        if (random.uniform() < 0.03) benches = benches.map((one) => (one === bench ? one.restart() : one));
      }
      expect(done).toBeGreaterThan(20);
      exchanged(benches);
      const [first, second, third] = benches.map(heldBy);
      expect(second).toEqual(first);
      expect(third).toEqual(first);
      gaveWay += countOf(first?.gaveWay);
      earlierWords += countOf(first?.earlierWords);
      const again = exportOf(benches[0] as Bench);
      for (const bench of benches) {
        expect(bench.journal.faults()).toEqual([]);
        expect(importInto(bench, again)).toMatchObject({ added: 0, updated: 0 });
        importInto(bench, early);
        expect(heldBy(bench)).toEqual(first);
        bench.journal.close();
      }
    },
  );

  it("met traces, outputs and words that gave way", () => {
    expect(gaveWay).toBeGreaterThan(histories / 2);
    expect(earlierWords).toBeGreaterThan(0);
  });
});
