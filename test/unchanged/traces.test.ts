import { expect, it } from "vitest";
import {
  columnsOfTrace,
  packedAgain,
  putTraceBack,
  thinned,
  traceKept,
  unbroken,
} from "../../server/actions/keptTrace.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { rowsPerTraceChunk, TracePacker } from "../../server/store/traces/tracePacking.ts";
import { oneOf } from "./chosen.ts";
import { heldJournal, heldNow } from "./heldJournal.ts";
import { printOf, telling } from "./telling.ts";

const { NaN: missing } = Number;

/** When rows are taken: each from the one before and its place. */
const paces: Readonly<Record<string, (before: number, at: number, random: SeededRandom) => number>> = {
  "each second": (before) => before + 1,
  "ten a second": (_, at) => Math.round(at * 100) / 1000,
  "with gaps, some twice": (before, _, random) =>
    before + (random.uniform() < 0.02 ? 45 : random.index(4) === 0 ? 0 : 1),
  "every hour": (_, at) => at * 3600.5,
};

/** What is measured; each has a place among the columns. */
const columns: Readonly<Record<string, (at: number, rows: number, random: SeededRandom) => number>> = {
  temperature: (at) => Math.round(300 + 400 * (1 - 1 / (1 + at / 90)) + ((at * 7) % 5)) / 10,
  power: (at, _, random) => (random.uniform() < 0.02 ? missing : 95 + ((at * 13) % 31) / 8),
  throttling: (at) => (at % 700 > 640 ? 1 : 0),
  late: (at, rows) => (at < rows / 2 ? missing : at),
  early: (at) => (at < 300 ? at / 3 : missing),
  never: () => missing,
};
const names = Object.keys(columns);
const channels = names.map((channel) => ({ channel, unit: channel === "temperature" ? "°C" : "" }));

function drawnTrace(rows: number, pace: string, random: SeededRandom) {
  const t = new Float64Array(rows);
  for (let at = 1; at < rows; at += 1) t[at] = paces[pace]!(t[at - 1]!, at, random);
  const values = Object.values(columns).map((value) =>
    Float64Array.from({ length: rows }, (_, at) => value(at, rows, random)),
  );
  return { t, values };
}

function packedOf({ t, values }: ReturnType<typeof drawnTrace>, decimals?: Uint8Array) {
  const packer = new TracePacker(channels);
  for (let at = 0; at < t.length; at += rowsPerTraceChunk) {
    const part = (all: Float64Array) => all.subarray(at, at + rowsPerTraceChunk);
    packer.add(part(t).length, part(t), values.map(part), decimals);
  }
  return { packed: packer.finish(), bytes: packer.bytes };
}

type Window = Parameters<Journal["traces"]["window"]>[1];

const windowTold = ({ traces }: Pick<Journal, "traces">, id: string, asked: Partial<Window>): string => {
  const found = traces.window(id, { channels: ["time", ...names], points: 60, ...asked });
  if (found === undefined) return "none";
  const { t, series } = found;
  const ends = [t[0], t[1], t.at(-1)].join(" ");
  const print = printOf(t, ...series.flatMap(({ min, max, mean }) => [min, max, mean]));
  return `${t.length} of ${series.length}, ${ends}, ${print}`;
};

const lengths = [1, 2, 255, 256, 257, 513, 4095, 4096, 4097, 8193, 16_641];

it("traces of every length around chunks and buckets are kept and shown as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(71);
  const { journal, attemptId } = heldJournal(70);
  const { traces } = journal;
  for (const rows of lengths) {
    const pace = oneOf(random, Object.keys(paces));
    const drawn = drawnTrace(rows, pace, random);
    const { t } = drawn;
    const decimals = random.index(2) ? Uint8Array.of(1, 3, 0, 0, 9, 0) : undefined;
    const { packed, bytes } = packedOf(drawn, decimals);
    tell(`${rows} rows, ${pace}`, () =>
      [
        ...[`${bytes} bytes`, packed.rows, packed.fromS, packed.toS],
        ...packed.channels.map(({ channel, hasReadings, chunks, overviews }) =>
          [
            channel,
            hasReadings ? chunks.length : "no",
            printOf(Buffer.concat([...chunks, ...overviews.map(({ blob }) => blob)])),
          ].join(" "),
        ),
      ].join(", "),
    );
    const origin = { source: "log", startedAt: random.index(2) ? heldNow : null } as const;
    journal.writeNow(() => traces.write(attemptId, packed, origin, heldNow));
    const { id: _id, channels: shown, ...outline } = traces.outline(attemptId)!;
    tell("  outline", () => JSON.stringify([outline, shown.map(({ channel }) => channel)]));
    tell("  whole", () =>
      [...traces.whole(attemptId, ["time", ...names])]
        .map(([name, of]) => `${name} ${of.length} ${printOf(of)}`)
        .join(", "),
    );
    const touching = [0, 1, 255, 256, 257, 4095, 4096, 4097, rows - 1].filter((row) => row < rows);
    const timeAt = () => oneOf(random, [-0.5, 0, 0.5]) + t[oneOf(random, [...touching, random.index(rows)])]!;
    for (const points of [1, 7, 60, 1000])
      tell(`  ${points} points`, () => windowTold(journal, attemptId, { points }));
    for (const row of rows > 8000 ? [1, 256, 257, 4096, 4097] : [])
      for (const points of [3, 20])
        tell(`  ${points} points from row ${row}, and up to it`, () => [
          windowTold(journal, attemptId, { points, fromS: t[row] }),
          windowTold(journal, attemptId, { points, toS: t[row] }),
        ]);
    for (let n = 0; n < 8; n += 1) {
      const [fromS, toS] = [random.index(5) ? timeAt() : undefined, random.index(4) ? timeAt() : undefined];
      const points = oneOf(random, [1, 2, 5, 16, 17, 33, 60, 300, 2.5]);
      tell(`  ${points} points from ${fromS} to ${toS}`, () =>
        windowTold(journal, attemptId, { points, fromS, toS }),
      );
    }
  }
  tell("of no attempt", () => [
    traces.outline("none"),
    traces.window("none", { channels: [], points: 1 }),
    [...traces.whole("none", ["time"])],
  ]);
  tell("a chunk that is too long", () => new TracePacker([]).add(4097, new Float64Array(4097), []));
  tell("a chunk after a short one", () => {
    const packer = new TracePacker([]);
    packer.add(5, new Float64Array(5), []);
    packer.add(0, new Float64Array(0), []);
    packer.add(1, new Float64Array(1), []);
  });
  journal.writeNow(() => traces.drop(attemptId));
  tell("dropped", () => [
    traces.outline(attemptId) ?? "none",
    journal.attempts.find(attemptId)?.id === attemptId,
  ]);
  await expect(told()).toMatchFileSnapshot("answers/traces.txt");
});

/** Samples as they come while an attempt runs: the next ones, late ones, the same again, out of order, with no time. */
function drawnPiece(random: SeededRandom, from: number, count: number) {
  const kind = oneOf(random, ["next", "next", "next", "late", "again", "mixed"]);
  const start =
    kind === "next" ? from : kind === "late" ? random.index(from + 1) - 0.5 : Math.max(0, from - count + 2);
  const t = Array.from({ length: count }, (_, at) => start + at + (kind === "late" ? (at % 2) / 4 : 0));
  if (kind === "mixed") t.reverse();
  if (kind === "mixed" && count > 2) [t[0], t[1]] = [missing, t[2]! + 1e-7];
  const names = ["temperature", "power", "fan", "early"].filter((_, at) => at === 0 || random.index(3) > 0);
  const values = names.map((name, place) =>
    t.map((seconds, at) =>
      name === "early" && seconds > 50 ? missing : at % 17 === place ? missing : place + (at % 90) / 10,
    ),
  );
  return { kind, t, channels: names.map((channel) => ({ channel, unit: "" })), values };
}

it.each([72, 73])(
  "samples appended piece by piece, drawn the %dth time, are kept and shown as before",
  async (seed) => {
    const { tell, told } = telling();
    const random = seededRandom(seed);
    const { journal, attemptId } = heldJournal(70);
    const { traces } = journal;
    const bounds = [256, 512, 4095, 4096, 4097, 8192, 8193];
    let next = 0;
    for (let n = 0; n < 24; n += 1) {
      const bound = bounds.find((row) => row > next) ?? next + 300;
      const count = oneOf(random, [1, 2, 19, 257, bound - next - 1, bound - next, bound - next]);
      const { kind, ...piece } = drawnPiece(random, next, Math.max(0, Math.min(count, 1800)));
      const kept = journal.writeNow(() =>
        traces.append(attemptId, piece, random.index(2) ? heldNow : null, heldNow),
      );
      next = Math.max(next, 1 + Math.floor(Math.max(...piece.t.filter(Number.isFinite), -1)));
      const { id: _id, channels: shown, ...outline } = traces.outline(attemptId)!;
      const whole = [...traces.whole(attemptId, ["time", ...shown.map(({ channel }) => channel)]).values()];
      const [a, b] = [random.index(next + 1), random.index(next + 1) - 0.5];
      const asked = {
        channels: ["time", "temperature", "power", "fan", "early"],
        points: oneOf(random, [5, 40, 1000]),
      };
      tell(`${piece.t.length} ${kind} from ${piece.t[0]} of ${piece.channels.length}`, () =>
        [
          ...[kept, outline.rows, outline.fromS, outline.toS, outline.startedAt, shown.length],
          ...[printOf(...whole)],
          windowTold(journal, attemptId, asked),
          windowTold(journal, attemptId, { ...asked, fromS: Math.min(a, b), toS: Math.max(a, b) }),
        ].join(", "),
      );
    }
    const blobs = journal.db.$client
      .prepare("SELECT buckets FROM trace_overviews ORDER BY channel_id, level")
      .pluck();
    tell("overviews", () => printOf(Buffer.concat(blobs.all() as Buffer[])));
    const sealed = journal.db.$client
      .prepare("SELECT count(*), sum(checksum IS NULL) FROM trace_chunks")
      .raw();
    tell("chunks", () => [sealed.get(), journal.faults()]);
    await expect(told()).toMatchFileSnapshot(`answers/appended${seed}.txt`);
  },
);

type KeptTrace = Parameters<typeof putTraceBack>[2] & {
  chunks: readonly Readonly<{ channel: string; chunk: number; packed: string }>[];
};

it("traces that travel, give way, or are put back are kept or refused as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(74);
  const { journal, attemptId } = heldJournal(70);
  const { traces } = journal;
  for (const rows of [1, 4096, 4097, 28_571, 28_572, 57_144]) {
    const { packed } = packedOf(drawnTrace(rows, "each second", random));
    journal.writeNow(() => traces.write(attemptId, packed, { source: "log", startedAt: heldNow }, heldNow));
    const kept = traceKept(journal, attemptId) as KeptTrace;
    tell(`${rows} rows`, () => `${kept.chunks.length} ${printOf(Buffer.from(JSON.stringify(kept.chunks)))}`);
    const chunks = new Map(
      kept.chunks.map(({ channel, chunk, packed }) => [`${chunk} ${channel}`, Buffer.from(packed, "base64")]),
    );
    const all = [...kept.channels, { channel: "never", unit: "" }];
    tell("  thinned", () => {
      const thin = unbroken(thinned({ ...kept, channels: all }, chunks));
      const back = columnsOfTrace(thin).map((values) => `${values.length} ${printOf(values)}`);
      return [
        thin.every,
        thin.rows,
        thin.fromS,
        thin.toS,
        thin.channels.length,
        thin.chunks.length,
        ...back,
      ].join(", ");
    });
    journal.writeNow(() => putTraceBack(journal, attemptId, { ...kept, startedAt: null }));
    tell("  put back", () => JSON.stringify(traces.outline(attemptId)).replace(/"id":\d+/, ""));
    if (rows !== 4097) continue;
    const spoilt =
      (change: (chunks: Map<string, Buffer>) => void, more: object = {}) =>
      () => {
        const others = new Map([...chunks].map(([place, blob]) => [place, Buffer.from(blob)]));
        change(others);
        return packedAgain({ ...kept, ...more }, others)
          .channels.map(({ chunks: blobs, hasReadings }) => `${hasReadings} ${blobs.length}`)
          .join(", ");
      };
    tell(
      "  as it is",
      spoilt(() => undefined),
    );
    tell(
      "  without some",
      spoilt((them) => them.delete("0 power")),
    );
    tell(
      "  without times",
      spoilt((them) => them.delete("1 time")),
    );
    tell(
      "  cut",
      spoilt((them) => them.set("0 power", them.get("0 power")!.subarray(0, 90))),
    );
    tell(
      "  a byte of power changed",
      spoilt((them) => them.get("0 power")!.writeUInt8(77, 30)),
    );
    tell(
      "  of another length",
      spoilt((them) => them.set("0 power", them.get("1 power")!)),
    );
    tell(
      "  times that go back",
      spoilt((them) => them.get("0 time")!.writeDoubleLE(5000, 16)),
    );
    tell(
      "  a time that goes back at the bound",
      spoilt((them) => them.get("1 time")!.writeDoubleLE(1, 16)),
    );
    tell(
      "  a row more",
      spoilt(() => undefined, { rows: 4098 }),
    );
    tell(
      "  a row less",
      spoilt(() => undefined, { rows: 4096 }),
    );
  }
  tell("of no attempt", () => traceKept(journal, "none"));
  await expect(told()).toMatchFileSnapshot("answers/keptTraces.txt");
});
