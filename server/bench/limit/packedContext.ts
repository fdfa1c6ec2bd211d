import type { EvidenceRow } from "../things/evidenceRow.ts";
import type { OtherBuild } from "./limitEvidence.ts";
import type { LimitContext } from "./limitFit.ts";

/** The rows as texts, a few hundred in each: a thread is handed those in a twentieth of the time that the rows take. */
type PackedRows = readonly string[];
type PackedBuild = Omit<OtherBuild, "rows"> & Readonly<{ rows: PackedRows }>;

/** What a fit of many attempts looks at, as it is handed to a thread. */
export type PackedContext = Readonly<{
  context: Omit<LimitContext, "rows" | "otherBuilds">;
  rows: PackedRows;
  otherBuilds: readonly PackedBuild[];
}>;

const rowsAText = 250;

/** Packs one text each time it is gone on with. */
export function* packedContext({
  rows,
  otherBuilds = [],
  ...context
}: LimitContext): Generator<undefined, PackedContext> {
  const own = yield* packedRows(rows);
  const others: PackedBuild[] = [];
  for (const other of otherBuilds) others.push({ ...other, rows: yield* packedRows(other.rows) });
  return { context, rows: own, otherBuilds: others };
}

function* packedRows(rows: readonly EvidenceRow[]): Generator<undefined, PackedRows> {
  const texts: string[] = [];
  for (let from = 0; from < rows.length; from += rowsAText) {
    texts.push(JSON.stringify(rows.slice(from, from + rowsAText)));
    yield;
  }
  return texts;
}

export const unpacked = ({ context, rows, otherBuilds }: PackedContext): LimitContext => ({
  ...context,
  rows: unpackedRows(rows),
  otherBuilds: otherBuilds.map((other) => ({ ...other, rows: unpackedRows(other.rows) })),
});

const unpackedRows = (texts: PackedRows): readonly EvidenceRow[] =>
  texts.flatMap((text) => JSON.parse(text) as EvidenceRow[]);
