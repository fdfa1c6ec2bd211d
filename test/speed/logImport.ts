import { createReadStream } from "node:fs";
import path from "node:path";
import { monitorEventLoopDelay } from "node:perf_hooks";
import { setTimeout as pause } from "node:timers/promises";
import { heatOf } from "../../server/answers/heatReckoned.ts";
import { reckoningsOn } from "../../server/answers/reckoned.ts";
import { reckonersIn } from "../../server/reckoner.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { inFolder, journalIn, root } from "./journals.ts";
import { importedInto, largeBytes, largeLog } from "./largeLog.ts";
import { atMost, inTurn, type Measured, type Measurement } from "./measurement.ts";

const withJournal = (work: (journal: Journal) => Promise<Measured>): Promise<Measured> =>
  inFolder(async (folder) => {
    largeLog();
    const journal = journalIn(folder, { builds: 1, attempts: 12, seed: 1 });
    try {
      return await work(journal);
    } finally {
      journal.close();
    }
  });

async function timed(work: () => Promise<unknown>): Promise<number> {
  const startedAt = performance.now();
  await work();
  return performance.now() - startedAt;
}

/** The file read through, each byte looked at. */
async function newlinesIn(file: string): Promise<number> {
  let count = 0;
  for await (const bytes of createReadStream(file, { highWaterMark: 1_048_576 }) as AsyncIterable<Buffer>) {
    for (let at = 0; at < bytes.length; at += 1) if (bytes[at] === 10) count += 1;
  }
  return count;
}

const importTime: Measurement = {
  name: "log import",
  goal: "1M rows of 10 channels parsed, packed, overviewed and kept in at most 5 x counting their newlines",
  run: () =>
    withJournal(async (journal) =>
      atMost(
        await inTurn(
          () => timed(() => importedInto(journal)),
          () => timed(() => newlinesIn(largeLog())),
          7,
        ),
        "ms",
        5,
      ),
    ),
};

/** The most memory of the whole process over what it had before, looked at every few milliseconds. */
async function peakOver(work: () => Promise<unknown>): Promise<number> {
  const before = process.memoryUsage.rss();
  let peak = before;
  const watch = setInterval(() => {
    peak = Math.max(peak, process.memoryUsage.rss());
  }, 3);
  await work();
  clearInterval(watch);
  return (peak - before) / 1e6;
}

const importMemory: Measurement = {
  name: "log import memory",
  goal: "peak under 100 MB over idle",
  run: () =>
    withJournal(async (journal) => {
      await pause(200);
      const ours = await peakOver(() => importedInto(journal));
      return { ours, reference: 100, unit: "MB", ratio: ours / 100, limit: 1, met: ours <= 100 };
    }),
};

const storedSize: Measurement = {
  name: "stored trace",
  goal: "with its overview at most 0.15 of the CSV",
  run: () =>
    withJournal(async (journal) => {
      const size = () => {
        const { pages } = journal.db.$client
          .prepare("SELECT page_count AS pages FROM pragma_page_count")
          .get() as { pages: number };
        return (pages * 4096) / 1e6;
      };
      const before = size();
      await importedInto(journal);
      const [ours, reference] = [size() - before, largeBytes() / 1e6];
      return {
        ours,
        reference,
        unit: "MB",
        ratio: ours / reference,
        limit: 0.15,
        met: ours <= 0.15 * reference,
      };
    }),
};

async function longestStall(work: () => Promise<unknown>): Promise<number> {
  const delay = monitorEventLoopDelay({ resolution: 1 });
  delay.enable();
  await work();
  delay.disable();
  return delay.max / 1e6;
}

const stall: Measurement = {
  name: "stall by import",
  goal: "the event loop stalls at most 5 x its idle worst while a log is imported",
  run: () =>
    withJournal(async (journal) =>
      atMost(
        await inTurn(
          () => longestStall(() => importedInto(journal)),
          () => longestStall(() => pause(700)),
          5,
        ),
        "ms",
        5,
      ),
    ),
};

/** Every reading is of another question: nothing is answered from what was kept. */
const heatStall: Measurement = {
  name: "stall by heat run",
  goal: "the event loop stalls at most 5 x its idle worst while the heat of a trace of a million rows is read",
  run: () =>
    withJournal(async (journal) => {
      const { attemptId } = await importedInto(journal);
      const attempt = journal.attempts.find(attemptId);
      if (attempt === undefined) throw new Error("The attempt is gone.");
      const reckoner = reckonersIn(path.join(root, "dist", "server", "workers"));
      const rooms = {
        journal,
        reckonings: reckoningsOn(journal, reckoner.reckon),
        migrations: path.join(root, "migrations"),
      };
      let asked = 0;
      const read = async (): Promise<void> => {
        asked += 1;
        if ((await heatOf(rooms, attempt, { loadStartS: asked })) === null)
          throw new Error("No heat was read.");
      };
      try {
        return atMost(
          await inTurn(
            () => longestStall(read),
            () => longestStall(() => pause(700)),
            5,
          ),
          "ms",
          5,
        );
      } finally {
        await reckoner.close();
      }
    }),
};

export const measurements: readonly Measurement[] = [importTime, importMemory, storedSize, stall, heatStall];
