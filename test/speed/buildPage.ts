import autocannon from "autocannon";
import { inFolder, journalIn } from "./journals.ts";
import { atLeast, inTurn, type Measurement } from "./measurement.ts";
import { served } from "./server.ts";

/** Requests a second over one connection, asked from a thread of its own. */
async function servedPerSecond(url: string): Promise<number> {
  const found = await autocannon({ url, connections: 1, duration: 1, workers: 1 });
  if (found.non2xx > 0 || found.errors > 0 || found.requests.total === 0)
    throw new Error(`${url} was not served.`);
  return found.requests.total / found.duration;
}

const buildPage: Measurement = {
  name: "build page",
  goal: "of 50 attempts, at least 0.04 x the requests a second of a hello on the same server",
  run: () =>
    inFolder(async (folder) => {
      const journal = journalIn(folder, { builds: 1, attempts: 50, seed: 1 });
      const { app, address } = await served(journal);
      const build = journal.builds.all()[0]?.id;
      const found = await inTurn(
        () => servedPerSecond(`${address}/builds/${build}`),
        () => servedPerSecond(`${address}/hello`),
        7,
      ).finally(() => app.close());
      journal.close();
      return atLeast(found, "/s", 0.04);
    }),
};

export const measurements: readonly Measurement[] = [buildPage];
