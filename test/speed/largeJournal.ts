import { inFolder, journalIn } from "./journals.ts";
import { atMost, inTurn, type Measurement } from "./measurement.ts";
import { served } from "./server.ts";

/** Milliseconds that a page of the first build takes over HTTP. */
const largeJournal: Measurement = {
  name: "large journal",
  goal: "the build page with 100,000 attempts over 50 builds, at most 3 x what it takes with 1,000",
  run: () =>
    inFolder((large) =>
      inFolder(async (small) => {
        const journals = [
          journalIn(large, { builds: 50, attempts: 100_000, seed: 1 }),
          journalIn(small, { builds: 50, attempts: 1_000, seed: 1 }),
        ] as const;
        const [ofLarge, ofSmall] = await Promise.all(
          journals.map(async (journal) => {
            const { app, address } = await served(journal);
            const page = `${address}/builds/${journal.builds.all()[0]?.id}`;
            return { app, page };
          }),
        );
        const found = await inTurn(
          () => millisecondsFor(ofLarge?.page ?? ""),
          () => millisecondsFor(ofSmall?.page ?? ""),
        );
        await Promise.all([ofLarge?.app.close(), ofSmall?.app.close()]);
        for (const journal of journals) journal.close();
        return atMost(found, "ms", 3);
      }),
    ),
};

async function millisecondsFor(page: string): Promise<number> {
  const startedAt = performance.now();
  const answer = await fetch(page);
  await answer.text();
  if (answer.status !== 200) throw new Error(`${page} was not served.`);
  return performance.now() - startedAt;
}

export const measurements: readonly Measurement[] = [largeJournal];
