import { crc32 } from "node:zlib";
import * as z from "zod";
import { output } from "../things/asSet.ts";
import { count, id } from "../things/units.ts";
import { type Stamp, timeOf } from "./stamp.ts";
import { stampInDocument } from "./stampsInDocument.ts";
import { packedInDocument, traceInDocument } from "./traceInDocument.ts";

/** Values that are kept of a trace that gave way, its times among them: of a longer one every second row, or third, … */
export const mostValuesGivenWay = 200_000;
/** So many traces that gave way are kept of an attempt, and as many outputs: those that were written last. */
export const mostGivenWay = 4;

const thinnedTrace = traceInDocument
  .omit({ attemptId: true })
  .extend({
    /** Of so many rows one is kept. */
    every: count("The rows of which one is kept", 20_000_000).min(1),
    chunks: z.array(packedInDocument).max(100_000),
  })
  .refine(({ rows, channels }) => rows * (channels.length + 1) <= mostValuesGivenWay + channels.length + 1, {
    error: "A trace that gave way is longer than one may be.",
  });

/**
 * A trace of an attempt, or what its load printed, that gave way to another when journals were merged: each had been
 * written without the other being known. `stamp` is the time of its writing and a print of what it holds.
 */
export const gaveWayInDocument = z.discriminatedUnion("what", [
  z.strictObject({ attemptId: id, what: z.literal("trace"), stamp: stampInDocument, trace: thinnedTrace }),
  z.strictObject({ attemptId: id, what: z.literal("output"), stamp: stampInDocument, output }),
]);
export type GaveWay = z.infer<typeof gaveWayInDocument>;
export type GaveWayTrace = z.infer<typeof thinnedTrace>;
export type Hanging = GaveWay["what"];

/** The same content written at the same time is one thing, whichever bench met it. */
export const stampOfGaveWay = (written: Stamp, content: GaveWayTrace | string): Stamp =>
  `${timeOf(written)}p${printOf(content).toString(36)}`;

function printOf(content: GaveWayTrace | string): number {
  if (typeof content === "string") return crc32(content);
  const { source, startedAt = null, keptAt, rows, every, channels, chunks } = content;
  return crc32(
    JSON.stringify([
      ...[source, startedAt, keptAt, rows, every],
      ...channels.flatMap(({ channel, unit }) => [channel, unit]),
      ...chunks.flatMap(({ channel, chunk, packed }) => [channel, chunk, packed]),
    ]),
  );
}

/** All of both, each once, as far as they are kept; in order of their writing. */
export function joinedGaveWay(one: readonly GaveWay[], other: readonly GaveWay[]): readonly GaveWay[] {
  const all = new Map([...one, ...other].map((each) => [`${each.what} ${each.stamp}`, each]));
  const latest = (what: Hanging) =>
    [...all.values()]
      .filter((each) => each.what === what)
      .sort(byStamp)
      .slice(-mostGivenWay);
  return [...latest("output"), ...latest("trace")].sort(byStamp);
}

const byStamp = (a: GaveWay, b: GaveWay): number =>
  a.stamp < b.stamp || (a.stamp === b.stamp && a.what < b.what) ? -1 : 1;
