import path from "node:path";
import { documentLimitBytes } from "../bench/document/journalDocument.ts";
import { Refusal } from "../bench/things/refusal.ts";
import type { Journal } from "../store/file/journal.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";
import { importDocument } from "./importDocument.ts";

/** What taking a document stands on: the journal, and the folder of the worker that merges. */
export type DocumentTaking = Readonly<{
  journal: Journal;
  now(): string;
  workers: string;
  migrations: string;
}>;

/** Merges an exported journal as it arrives. */
export const takeDocument = (
  { journal, now, migrations, workers }: DocumentTaking,
  source: AsyncIterable<Uint8Array>,
  request: KeyedRequest | null,
): Promise<GivenAnswer> =>
  importDocument(path.join(workers, "documentImport.cjs"), {
    source: capped(source),
    journal,
    migrations,
    now: now(),
    request,
  });

async function* capped(source: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let bytes = 0;
  for await (const piece of source) {
    bytes += piece.byteLength;
    if (bytes > documentLimitBytes)
      throw new Refusal("too-large", `An import may have at most ${documentLimitBytes >> 20} MiB.`);
    yield piece;
  }
}
