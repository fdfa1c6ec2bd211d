import { spawn } from "node:child_process";
import { once } from "node:events";
import { createWriteStream } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { setTimeout as pause } from "node:timers/promises";
import { wholeJournalText } from "../../server/answers/wholeJournal.ts";
import { inFolder, journalIn } from "./journals.ts";
import type { Measurement } from "./measurement.ts";
import { programOn } from "./server.ts";

const exportedAt = "2031-05-04T12:00:00.000Z";

/** An export of 100,000 attempts of 50 builds, in a file. */
async function largeExport(file: string): Promise<void> {
  await inFolder(async (folder) => {
    const journal = journalIn(folder, { builds: 50, attempts: 100_000, seed: 2 });
    await pipeline(Readable.from(wholeJournalText(journal, exportedAt)), createWriteStream(file));
    journal.close();
  });
}

/** The slowest of the reads asked for one after the other while something goes on, in milliseconds. */
async function slowestRead(addresses: readonly string[], meanwhile: Promise<unknown>): Promise<number> {
  let slowest = 0;
  let goesOn = true;
  const over = meanwhile.finally(() => {
    goesOn = false;
  });
  for (let turn = 0; goesOn; turn += 1) {
    const startedAt = performance.now();
    await (await fetch(addresses[turn % addresses.length] ?? "")).text();
    slowest = Math.max(slowest, performance.now() - startedAt);
    await pause(5);
  }
  await over;
  return slowest;
}

const sending = `
  const { openAsBlob } = require("node:fs");
  const [address, file] = process.argv.slice(1);
  openAsBlob(file, { type: "application/json" })
    .then((body) => fetch(address + "/api/import", { method: "POST", body }))
    .then(async (reply) => { if (!reply.ok) throw new Error(await reply.text()); });
`;

/** Sends the document from a process of its own, so that whoever measures the reads does nothing else. */
async function merged(address: string, file: string): Promise<void> {
  const child = spawn(process.execPath, ["-e", sending, address, file], { stdio: "inherit" });
  const [code] = (await once(child, "exit")) as [number];
  if (code !== 0) throw new Error("The document was not merged.");
}

const readsMeanwhile: Measurement = {
  name: "reads during a merge",
  goal: "while a document of 100,000 attempts is merged, the slowest read of pages and answers at most 100 ms over idle",
  run: () =>
    inFolder(async (folder) => {
      const file = path.join(folder, "export.json");
      await largeExport(file);
      const journal = journalIn(folder, { builds: 5, attempts: 500, seed: 1 });
      const [build] = journal.builds.all();
      const at = journal.file;
      journal.close();
      const { address, end } = await programOn(at);
      const addresses = [`/builds/${build?.id}`, `/api/builds/${build?.id}/frontier`, "/journal"].map(
        (one) => address + one,
      );
      await slowestRead(addresses, pause(5000));
      const reference = await slowestRead(addresses, pause(20_000));
      const ours = await slowestRead(addresses, merged(address, file));
      await end();
      return {
        ours,
        reference,
        unit: "ms",
        ratio: ours / reference,
        limit: 100,
        met: ours <= reference + 100,
      };
    }),
};

export const measurements: readonly Measurement[] = [readsMeanwhile];
