import * as z from "zod";
import { count, id, instant, text } from "../things/units.ts";

/** Counts the forms in which the values of a trace have been packed. */
export const packingVersion = 1;

const seconds = z.number().min(-1e9).max(1e9);
const channel = z.strictObject({ channel: text(80), unit: text(20) });

/** What an exported journal says of a trace; its values come in the chunks that follow, each packed and in base64. */
export const traceInDocument = z.strictObject({
  attemptId: id,
  packing: z.literal(packingVersion, { error: "The traces were packed by a newer version of the program." }),
  rows: count("The number of rows", 20_000_000),
  fromS: seconds,
  toS: seconds,
  startedAt: instant.nullish(),
  keptAt: instant,
  source: z.enum(["log", "live"]),
  /** Without the time. */
  channels: z
    .array(channel)
    .max(1000)
    .refine((all) => new Set(["time", ...all.map((one) => one.channel)]).size === all.length + 1, {
      error: "A channel is named twice.",
    }),
});
/** The values of a channel in one chunk of its trace. */
export const packedInDocument = z.strictObject({
  channel: text(80),
  chunk: count("The place of a chunk"),
  packed: z.string().max(1 << 20),
});
export const traceChunkInDocument = z.strictObject({ attemptId: id, ...packedInDocument.shape });
export type DocumentTrace = z.infer<typeof traceInDocument>;
