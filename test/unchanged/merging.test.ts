import { randomBytes } from "node:crypto";
import path from "node:path";
import { expect, it } from "vitest";
import { ensureStandardRule } from "../../server/actions/parts.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { openJournal } from "../../server/store/file/journal.ts";
import { migrations, temporaryFolder } from "../support/bench.ts";
import {
  type Bench,
  begin,
  benchesFrom,
  type Done,
  doSomething,
  exportOf,
  heldBy,
  importInto,
  writeApart,
} from "../support/threeBenches.ts";
import { printOf, toldOf } from "./told.ts";

const steps = 120;
const histories = [21, 22, 23];

/** An empty journal that knows the standard rule, from which each bench begins. */
function template(): string {
  const file = path.join(temporaryFolder(), "template.db");
  const journal = openJournal(path.join(temporaryFolder(), "begun.db"), { migrations, randomBytes });
  ensureStandardRule({ journal });
  journal.backUpTo(file);
  journal.close();
  return file;
}

const longest = 400;

/** What a deed gave in one line, less what nobody said. */
function outcomeOf(done: Done): string {
  if ("refused" in done) return done.refused;
  const said = JSON.stringify(done.gave ?? "done", (_, value) => (isSaid(value) ? value : undefined));
  return said.length > longest ? `${said.slice(0, longest)} ${printOf(said)}` : said;
}

const isSaid = (value: unknown): boolean => value !== null && value !== "" && JSON.stringify(value) !== "[]";

it.each(histories)(
  "what three benches do and hear of one another ends as before, history %i",
  async (seed) => {
    const random = seededRandom(seed);
    const benches = benchesFrom(template(), temporaryFolder(), random);
    begin(benches, random);
    const told = Array.from({ length: steps }, (_, step) => {
      const [at, from] = [random.index(3), random.index(3)];
      const [bench, other] = [benches[at] as Bench, benches[from] as Bench];
      const drawn = random.uniform();
      const what =
        drawn < 0.12
          ? `hears of ${from}: ${toldOf(importInto(bench, exportOf(other)))}`
          : drawn < 0.18
            ? `writes apart from ${from}${writeApart([bench, other], random) ?? ""}`
            : outcomeOf(doSomething(bench, random));
      return `${step + 1}. bench ${at} ${what}\n   holds ${printOf(JSON.stringify(heldBy(bench)))}`;
    });
    const held = `At last bench 0 holds\n${toldOf(heldBy(benches[0] as Bench))}`;
    for (const bench of benches) bench.journal.close();
    await expect([...told, held].join("\n\n")).toMatchFileSnapshot(`answers/merging${seed}.txt`);
  },
);
