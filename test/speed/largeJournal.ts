import type { Journal } from "../../server/store/file/journal.ts";
import type { BulkSize } from "../support/bulkRecord.ts";
import { inFolder, journalIn } from "./journals.ts";
import { atMost, inTurn, type Measured, type Measurement } from "./measurement.ts";
import { served } from "./server.ts";

/** A page of the first build over HTTP, of a large journal and of a small one. */
const largeJournal: Measurement = {
  name: "large journal",
  goal: "the build page with 100,000 attempts over 50 builds, at most 3 x what it takes with 1,000",
  run: () =>
    ofTwoJournals(
      { builds: 50, attempts: 100_000, seed: 1 },
      { builds: 50, attempts: 1_000, seed: 1 },
      async ({ journal, address }) => millisecondsFor(`${address}/builds/${journal.builds.all()[0]?.id}`),
    ),
};

/** The page that lists twenty builds, after a commit to one of them. */
const manyBuilds: Measurement = {
  name: "many builds",
  goal: "the list of builds after a commit where one chip has 200, at most 3 x what it takes where it has 20",
  run: () =>
    ofTwoJournals(
      { builds: 200, attempts: 1_000, seed: 1 },
      { builds: 20, attempts: 100, seed: 1 },
      async ({ journal, address }) => {
        await commit(journal, address);
        return millisecondsFor(`${address}/builds`);
      },
    ),
};

type OfJournal = (served: Readonly<{ journal: Journal; address: string }>) => Promise<number>;

function ofTwoJournals(large: BulkSize, small: BulkSize, timed: OfJournal): Promise<Measured> {
  return inFolder((largeFolder) =>
    inFolder(async (smallFolder) => {
      const journals = [journalIn(largeFolder, large), journalIn(smallFolder, small)] as const;
      const servers = await Promise.all(journals.map(served));
      const ask = (at: 0 | 1) => timed({ journal: journals[at], address: servers[at]?.address ?? "" });
      const found = await inTurn(
        () => ask(0),
        () => ask(1),
      );
      await Promise.all(servers.map(({ app }) => app.close()));
      for (const journal of journals) journal.close();
      return atMost(found, "ms", 3);
    }),
  );
}

async function commit(journal: Journal, address: string): Promise<void> {
  const run = { clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
  const answer = await fetch(`${address}/api/builds/${journal.builds.all()[0]?.id}/attempts`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ workloadId: journal.workloads.all()[0]?.id, ...run }),
  });
  if (answer.status !== 201) throw new Error(await answer.text());
}

async function millisecondsFor(page: string): Promise<number> {
  const startedAt = performance.now();
  const answer = await fetch(page);
  await answer.text();
  if (answer.status !== 200) throw new Error(`${page} was not served.`);
  return performance.now() - startedAt;
}

export const measurements: readonly Measurement[] = [largeJournal, manyBuilds];
