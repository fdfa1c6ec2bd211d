import * as z from "zod";
import { invalid } from "../things/refusal.ts";
import { text } from "../things/units.ts";
import { conversionOf, isKnownChannel, unitsOf } from "./channel.ts";

/** Which column of a log is which channel, in which unit; `everyS` is the time between two counts of a counter. */
export type ColumnMatch = Readonly<{
  /** The header's own words, or the column's place counted from 1. */
  column: string | number;
  channel: string;
  unit: string;
  everyS: number | null;
  /** The tester has said that an unlikely length is meant. */
  sure?: boolean;
}>;

/** The column of a time that is not written: rows are counted. */
export const uncounted = "";

const columnMatch = z
  .strictObject({
    column: z.union([z.string().max(1000), z.number().int().min(1, "The place of a column counts from 1.")], {
      error: "A column is named by its header or by its place counted from 1.",
    }),
    channel: text(80).refine((value) => value !== "", "A channel needs a name."),
    unit: text(20).nullish(),
    everyS: z
      .number()
      .positive("The time between two rows is above 0 s.")
      .max(86_400, "The time between two rows is at most 86,400 s.")
      .nullish(),
    sure: z.boolean().nullish(),
  })
  .transform(
    (sent): ColumnMatch => ({
      ...(sent.sure ? { sure: true } : {}),
      column: sent.column,
      channel: sent.channel,
      unit: sent.unit ?? "",
      everyS: sent.everyS ?? null,
    }),
  );

/** The `columns` field of an imported log. One column is `time`, and no channel is named twice. */
export const columnMatchList = z
  .array(columnMatch)
  .max(1000, "At most 1,000 columns can be matched.")
  .transform((matches, context) => {
    const flaw = columnFlaw(matches);
    if (flaw !== undefined) context.addIssue({ code: "custom", message: flaw });
    return matches;
  });

/** What is wrong with a set of matches, in a sentence; undefined where nothing is. */
export function columnFlaw(matches: readonly ColumnMatch[]): string | undefined {
  const channels = matches.map((match) => match.channel);
  const twice = channels.find((channel, at) => channels.indexOf(channel) !== at);
  if (twice !== undefined) return `The channel "${twice}" is named twice.`;
  if (!channels.includes("time")) return "No column is matched to the time; one of them must be.";
  if (channels.length < 2) return "Besides the time, at least one column with readings is needed.";
  const unfit = matches.find((match) => conversionOf(match.channel, match.unit) === undefined);
  if (unfit === undefined) return undefined;
  const allowed = isKnownChannel(unfit.channel) ? unitsOf(unfit.channel).join(", ") : "";
  return `"${unfit.unit}" is no unit of ${unfit.channel}; it is one of: ${allowed}.`;
}

/** The matches in a `columns` field as it was sent. */
export function columnMatchesFrom(field: string): readonly ColumnMatch[] {
  let parsed: unknown;
  try {
    parsed = JSON.parse(field);
  } catch {
    throw invalid("The columns field is not JSON.", { columns: "This is not JSON." });
  }
  const read = columnMatchList.safeParse(parsed);
  if (read.success) return read.data;
  const because = read.error.issues[0]?.message ?? "This cannot be read.";
  throw invalid(because, { columns: because });
}

/** The key under which matches are remembered: the header's cells, trimmed. */
export const headerKey = (names: readonly string[]): string =>
  JSON.stringify(names.map((name) => name.trim()));
