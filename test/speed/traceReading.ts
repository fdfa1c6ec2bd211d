import path from "node:path";
import Database from "better-sqlite3";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { rowsPerTraceChunk, TracePacker } from "../../server/store/traces/tracePacking.ts";
import { inFolder, journalIn, theInstant } from "./journals.ts";
import { untracedAttemptOf } from "./largeLog.ts";
import { atLeast, atMost, inTurn, type Measured, type Measurement, millisecondsOf } from "./measurement.ts";

const rows = 1_000_000;
const names = ["temperature", "supply", "power", "voltage", "clock"] as const;

/** A million rows of five channels that wander in steps, as sensors do. */
function madeColumns(): { t: Float64Array; columns: readonly Float64Array[] } {
  const random = seededRandom(5);
  const columns = names.map((_, at) => {
    let value = 600 + 100 * at;
    return Float64Array.from({ length: rows }, () => {
      value += random.index(7) - 3;
      return value / 10;
    });
  });
  return { t: Float64Array.from({ length: rows }, (_, at) => at), columns };
}

type Kept = Readonly<{
  journal: Journal;
  attemptId: string;
  columns: readonly Float64Array[];
  folder: string;
}>;

const withTrace = (work: (kept: Kept) => Promise<Measured>): Promise<Measured> =>
  inFolder(async (folder) => {
    const journal = journalIn(folder, { builds: 1, attempts: 1, seed: 1 });
    const attemptId = untracedAttemptOf(journal);
    const { t, columns } = madeColumns();
    const packer = new TracePacker(names.map((channel) => ({ channel, unit: "" })));
    for (let at = 0; at < rows; at += rowsPerTraceChunk) {
      const part = (values: Float64Array) => values.subarray(at, at + rowsPerTraceChunk);
      packer.add(part(t).length, part(t), columns.map(part));
    }
    journal.writeNow(() =>
      journal.traces.write(attemptId, packer.finish(), { source: "log", startedAt: null }, theInstant),
    );
    try {
      return await work({ journal, attemptId, columns, folder });
    } finally {
      journal.close();
    }
  });

/** The same channel as blobs of plain doubles, read one after the other into one array. */
function plainReader(folder: string, column: Float64Array): () => Float64Array {
  const plain = new Database(path.join(folder, "plain.db"));
  plain.exec("CREATE TABLE chunks (chunk INTEGER PRIMARY KEY, doubles BLOB NOT NULL)");
  const insert = plain.prepare("INSERT INTO chunks VALUES (?, ?)");
  plain.transaction(() => {
    for (let at = 0; at < rows; at += rowsPerTraceChunk) {
      const part = column.slice(at, at + rowsPerTraceChunk);
      insert.run(at / rowsPerTraceChunk, Buffer.from(part.buffer));
    }
  })();
  const all = plain.prepare("SELECT doubles FROM chunks ORDER BY chunk").pluck();
  return () => {
    const values = new Float64Array(rows);
    let at = 0;
    for (const blob of all.all() as Buffer[]) {
      const part = new Float64Array(blob.buffer, blob.byteOffset, blob.byteLength / 8);
      values.set(part, at);
      at += part.length;
    }
    return values;
  };
}

const channelRead: Measurement = {
  name: "channel read",
  goal: "a whole channel of 1M samples in at most 1.2 x a read of plain doubles",
  run: () =>
    withTrace(async ({ journal, attemptId, columns, folder }) => {
      const plain = plainReader(folder, columns[0] ?? new Float64Array());
      const ours = () => millisecondsOf(() => journal.traces.whole(attemptId, ["temperature"]));
      return atMost(await inTurn(ours, () => millisecondsOf(plain), 15), "ms", 1.2);
    }),
};

const looks = 20;

const overview: Measurement = {
  name: "overview of five channels",
  goal: "of 1M samples at least 100 x faster than decoding them",
  run: () =>
    withTrace(async ({ journal, attemptId }) => {
      const wanted = { channels: names, points: 2000 };
      const decoded = () => millisecondsOf(() => journal.traces.whole(attemptId, names));
      // What the decoding leaves for the collector must not be paid for by the one call that comes next.
      const ours = () =>
        millisecondsOf(() => {
          for (let time = 0; time < looks; time += 1) journal.traces.window(attemptId, wanted);
        }) / looks;
      const found = await inTurn(decoded, ours, 15);
      return { ...atLeast(found, "ms", 100), ours: found.reference, reference: found.ours };
    }),
};

const anyWindow: Measurement = {
  name: "any window",
  goal: "of one channel at most 2 x reading the whole of it, the slowest of 60",
  run: () =>
    withTrace(async ({ journal, attemptId }) => {
      const random = seededRandom(3);
      const windows = Array.from({ length: 60 }, () => {
        const fromS = random.uniform() * rows;
        return {
          channels: ["temperature"],
          fromS,
          toS: fromS + random.uniform() ** 3 * (rows - fromS),
          points: 2000,
        };
      });
      const slowest = () =>
        Math.max(...windows.map((wanted) => millisecondsOf(() => journal.traces.window(attemptId, wanted))));
      const whole = () => millisecondsOf(() => journal.traces.whole(attemptId, ["temperature"]));
      return atMost(await inTurn(slowest, whole, 9), "ms", 2);
    }),
};

const extremes: Measurement = {
  name: "chart extremes",
  goal: "every column keeps its exact minimum and maximum",
  run: () =>
    withTrace(async ({ journal, attemptId, columns }) => {
      const random = seededRandom(9);
      let right = 0;
      let all = 0;
      for (let round = 0; round < 40; round += 1) {
        const fromS = Math.floor(random.uniform() * rows);
        const toS = Math.floor(fromS + random.uniform() ** 2 * (rows - 1 - fromS));
        const found = journal.traces.window(attemptId, {
          channels: names,
          fromS,
          toS,
          points: 1 + random.index(2000),
        });
        found?.series.forEach(({ channel, min, max }) => {
          const column = columns[names.indexOf(channel as (typeof names)[number])] ?? new Float64Array();
          min.forEach((least, at) => {
            const start = found.t[at] ?? 0;
            const part = column.subarray(start, found.t[at + 1] ?? toS + 1);
            all += 1;
            if (
              least === part.reduce((a, b) => Math.min(a, b)) &&
              max[at] === part.reduce((a, b) => Math.max(a, b))
            )
              right += 1;
          });
        });
      }
      return {
        ours: right,
        reference: all,
        unit: "columns",
        ratio: right / all,
        limit: 1,
        met: right === all && all > 1000,
      };
    }),
};

export const measurements: readonly Measurement[] = [channelRead, overview, anyWindow, extremes];
