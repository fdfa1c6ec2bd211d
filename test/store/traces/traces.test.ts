import { describe, expect, it } from "vitest";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { rowsPerTraceChunk, TracePacker } from "../../../server/store/traces/tracePacking.ts";
import { theInstant } from "../../support/bench.ts";
import { tracedWorld } from "../../support/tracedWorld.ts";

const channels = [
  { channel: "temperature", unit: "°C" },
  { channel: "power", unit: "W" },
];

type Columns = Readonly<{ t: Float64Array; columns: readonly Float64Array[] }>;

function madeUp(rows: number, seed: number): Columns {
  const random = seededRandom(seed);
  let t = 0;
  let temperature = 600;
  return {
    t: Float64Array.from({ length: rows }, () => {
      t += random.uniform() < 0.01 ? 30 : random.index(3) === 0 ? 0.5 : 1;
      return t;
    }),
    columns: [
      Float64Array.from({ length: rows }, () => {
        temperature += random.index(5) - 2;
        return random.uniform() < 0.02 ? Number.NaN : temperature / 10;
      }),
      Float64Array.from({ length: rows }, () => 140 + random.normal()),
    ],
  };
}

function packedOf({ t, columns }: Columns) {
  const packer = new TracePacker(channels);
  for (let at = 0; at < t.length; at += rowsPerTraceChunk) {
    const part = (values: Float64Array) => values.subarray(at, at + rowsPerTraceChunk);
    packer.add(part(t).length, part(t), columns.map(part));
  }
  return packer.finish();
}

const keep = async (made: Columns) => {
  const world = await tracedWorld();
  const { journal, attemptId } = world;
  journal.writeNow(() =>
    journal.traces.write(attemptId, packedOf(made), { source: "log", startedAt: null }, theInstant),
  );
  return world;
};

/** The obvious way to reduce a window: look at every row of each column. */
function slowWindow(
  { t, columns }: Columns,
  fromS: number,
  toS: number,
  starts: readonly number[],
  at: number,
) {
  const rows = [...t.keys()].filter((row) => t[row]! >= fromS && t[row]! <= toS);
  return starts.map((start, column) => {
    const end = starts[column + 1] ?? Number.POSITIVE_INFINITY;
    const seen = rows
      .filter((row) => t[row]! >= start && t[row]! < end)
      .map((row) => columns[at]![row]!)
      .filter((value) => !Number.isNaN(value));
    return seen.length === 0 ? [Number.NaN, Number.NaN] : [Math.min(...seen), Math.max(...seen)];
  });
}

describe("traceStore", () => {
  it("gives a kept trace back, channel by channel, bit for bit", async () => {
    const made = madeUp(9001, 3);
    const { journal, attemptId } = await keep(made);
    const outline = journal.traces.outline(attemptId);
    expect(outline).toMatchObject({ rows: 9001, source: "log", startedAt: null, channels });
    const whole = journal.traces.whole(attemptId, ["time", "temperature", "power"]);
    expect(whole.get("time")).toEqual(made.t);
    expect(whole.get("temperature")).toEqual(made.columns[0]);
    expect(whole.get("power")).toEqual(made.columns[1]);
    expect(journal.attempts.find(attemptId)).toBeDefined();
    expect(journal.faults()).toEqual([]);
  });

  it("keeps every extreme of any window in at most as many columns as asked for", async () => {
    const made = madeUp(20_000, 5);
    const { journal, attemptId } = await keep(made);
    const random = seededRandom(11);
    const last = made.t[made.t.length - 1]!;
    for (let round = 0; round < 24; round += 1) {
      const a = random.uniform() * last;
      const fromS = round % 8 === 0 ? 0 : Math.min(a, random.uniform() * last);
      const toS = round === 0 ? last : Math.max(a, fromS + 5);
      const points = 1 + random.index([5, 60, 700, 3000][round % 4]!);
      const wanted = { channels: ["temperature", "power"], fromS, toS, points };
      const { t, series } = journal.traces.window(attemptId, wanted)!;
      expect(t.length).toBeLessThanOrEqual(points);
      expect(t[0]).toBe(made.t.find((seconds) => seconds >= fromS && seconds <= toS));
      // rows that share a time may fall on either side of a column's start, so columns are compared where times differ
      const starts = [...t];
      if (new Set(starts).size < starts.length) continue;
      series.forEach((one, at) => {
        const slow = slowWindow(made, fromS, toS, starts, at);
        expect([...one.min].map((min, column) => [min, one.max[column]])).toEqual(slow);
      });
    }
  });

  it("asks no more of a window that holds nothing", async () => {
    const { journal, attemptId } = await keep(madeUp(100, 2));
    const empty = journal.traces.window(attemptId, {
      channels: ["power"],
      fromS: 1e6,
      toS: 2e6,
      points: 10,
    })!;
    expect([empty.t.length, empty.series[0]!.min.length]).toEqual([0, 0]);
    expect(journal.traces.window("nobody", { channels: [], points: 10 })).toBeUndefined();
  });

  it("shows no rows between an end and a beginning that lies after it", async () => {
    const made = madeUp(9000, 5);
    const { journal, attemptId } = await keep(made);
    for (const [from, to] of [
      [700, 400],
      [4200, 4000],
      [8999, 1],
    ] as const)
      for (const points of [1, 60, 20_000]) {
        const wanted = { channels: ["time", "temperature"], fromS: made.t[from], toS: made.t[to], points };
        const { t, series } = journal.traces.window(attemptId, wanted)!;
        expect([t.length, ...series.map(({ mean }) => mean.length)]).toEqual([0, 0, 0]);
      }
  });

  it("replaces a trace whole, and takes it away with all its chunks", async () => {
    const { journal, attemptId } = await keep(madeUp(9001, 3));
    const second = madeUp(50, 4);
    journal.writeNow(() =>
      journal.traces.write(attemptId, packedOf(second), { source: "log", startedAt: theInstant }, theInstant),
    );
    expect(journal.traces.outline(attemptId)).toMatchObject({ rows: 50, startedAt: theInstant });
    expect(journal.traces.whole(attemptId, ["power"]).get("power")).toEqual(second.columns[1]);
    journal.writeNow(() => journal.traces.drop(attemptId));
    expect(journal.traces.outline(attemptId)).toBeUndefined();
    const left = journal.db.$client.prepare("SELECT count(*) AS n FROM trace_chunks").get();
    expect(left).toEqual({ n: 0 });
  });

  it("leaves nothing behind of a trace that could not be kept whole", async () => {
    const { journal, attemptId } = await keep(madeUp(100, 2));
    const broken = packedOf(madeUp(9001, 3));
    const spoiled = { ...broken, channels: [...broken.channels, { ...broken.channels[1]! }] };
    const write = () =>
      journal.writeNow(() =>
        journal.traces.write(attemptId, spoiled, { source: "log", startedAt: null }, theInstant),
      );
    expect(write).toThrow();
    expect(journal.traces.outline(attemptId)).toMatchObject({ rows: 100 });
  });
});

describe("live samples", () => {
  it("give the same trace as one written whole, in whatever portions and order they come, repeats included", async () => {
    for (const seed of [1, 2, 3]) {
      const random = seededRandom(seed);
      const { journal, attemptId } = await tracedWorld();
      const rows = 4100 + random.index(600);
      const t = Array.from({ length: rows }, (_, at) => at);
      const values = channels.map(() => t.map(() => Math.round(600 + 50 * random.normal()) / 10));
      let sent = 0;
      while (sent < rows) {
        const from = Math.max(0, sent - random.index(30));
        const to = Math.min(rows, sent + 1 + random.index(900));
        const portion = Array.from({ length: to - from }, (_, at) => from + at);
        if (random.uniform() < 0.5) portion.reverse();
        const samples = {
          channels,
          t: portion,
          values: values.map((column) => portion.map((at) => column[at]!)),
        };
        const added = journal.writeNow(() =>
          journal.traces.append(attemptId, samples, theInstant, theInstant),
        );
        expect(added).toBe(to - sent);
        sent = to;
      }
      const whole = journal.traces.whole(attemptId, ["time", "temperature", "power"]);
      expect([...whole.get("time")!]).toEqual(t);
      expect([...whole.get("temperature")!]).toEqual(values[0]);
      expect([...whole.get("power")!]).toEqual(values[1]);
      const { series } = journal.traces.window(attemptId, { channels: ["power"], points: 10 })!;
      expect(Math.max(...series[0]!.max)).toBe(Math.max(...values[1]!));
      expect(journal.traces.outline(attemptId)).toMatchObject({
        rows,
        fromS: 0,
        toS: rows - 1,
        source: "live",
      });
    }
  });

  it("that come late are put where they belong, and a channel that comes later is missing before", async () => {
    const { journal, attemptId } = await tracedWorld();
    const append = (t: number[], channel: string, values: number[]) =>
      journal.writeNow(() =>
        journal.traces.append(
          attemptId,
          { channels: [{ channel, unit: "°C" }], t, values: [values] },
          theInstant,
          theInstant,
        ),
      );
    append([0, 2, 4], "temperature", [40, 42, 44]);
    append([1, 2, 3], "supply", [50, 51, 52]);
    const whole = journal.traces.whole(attemptId, ["time", "temperature", "supply"]);
    expect([...whole.get("time")!]).toEqual([0, 1, 2, 3, 4]);
    expect([...whole.get("temperature")!]).toEqual([40, Number.NaN, 42, Number.NaN, 44]);
    expect([...whole.get("supply")!]).toEqual([Number.NaN, 50, Number.NaN, 52, Number.NaN]);
    expect(append([1, 2, 3], "supply", [50, 51, 52])).toBe(0);
    expect(append([1, 2, 3], "ambient", [20, 21, 22])).toBe(0);
    expect(journal.traces.outline(attemptId)!.channels.map(({ channel }) => channel)).toEqual([
      ...["temperature", "supply"],
    ]);
  });
});

describe("column matches", () => {
  it("are remembered by header, the newest of each", async () => {
    const { journal } = await tracedWorld();
    const match = (channel: string) => [
      { column: "t", channel: "time", unit: "s", everyS: null },
      { column: "x", channel, unit: "", everyS: null },
    ];
    journal.writeNow(() => journal.traces.keepMatches(["t", "x"], match("temperature"), theInstant));
    journal.writeNow(() => journal.traces.keepMatches(["t", "x"], match("supply"), theInstant));
    expect(journal.traces.matchesFor(["t ", "x"])).toEqual(match("supply"));
    expect(journal.traces.matchesFor(["t", "y"])).toBeUndefined();
  });
});
