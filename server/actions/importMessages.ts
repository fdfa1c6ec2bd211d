import type { FieldRefusals, RefusalCode } from "../bench/things/refusal.ts";
import type { AttemptFileGlimpse } from "../csv/attemptFileGlimpse.ts";
import type { AttemptMapping } from "../csv/attemptMapping.ts";
import type { ChoicesTyped } from "../csv/attemptMappingTyped.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";
import type { ImportPreview, ImportResult } from "./importAttempts.ts";

/** What is to be done with a file of attempts. */
export type ImportRequest =
  /** One sent by itself, as bytes: it is taken whole or not at all. */
  Readonly<{ kind: "take"; bytes: Uint8Array; buildId: string; keyed: KeyedRequest | null }> | ImportOnPage;

/** One with the choices of the page: looked at, or taken line by line, as it was last seen. */
export type ImportOnPage = Readonly<{
  kind: "look" | "import";
  text: string;
  buildId: string;
  /** The zone of whoever looks. */
  zone: string;
  typed: ChoicesTyped;
  /** By which the form sent twice is known. */
  once: string | null;
}>;

export type ImportJob = Readonly<{
  journalFile: string;
  migrations: string;
  now: string;
  asked: ImportRequest;
}>;

/** What the page shows of a file that was looked at. */
export type ImportRead = Readonly<{
  file: AttemptFileGlimpse;
  mapping: AttemptMapping;
  /** Stands for all that the preview rests on: only what was seen is imported. */
  seen: string;
  /** Null while the columns are not settled. */
  preview: ImportPreview | null;
}>;

export type ImportAnswer =
  | Readonly<{ kind: "given"; given: GivenAnswer }>
  | Readonly<{ kind: "imported"; result: ImportResult }>
  | Readonly<{ kind: "read"; read: ImportRead; refused: { message: string; fields: FieldRefusals } | null }>;

/** The journal is the worker's alone from now on. */
export type ToImportWorker = Readonly<{ kind: "keep" }>;

export type FromImportWorker =
  /** The journal is wanted. */
  | Readonly<{ kind: "keeping" }>
  | Readonly<{ kind: "done"; answer: ImportAnswer }>
  | Readonly<{ kind: "refused"; code: RefusalCode; message: string; fields: FieldRefusals }>
  | Readonly<{ kind: "failed"; message: string }>;
