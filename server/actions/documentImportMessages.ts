import type { FieldRefusals, RefusalCode } from "../bench/things/refusal.ts";
import type { GivenAnswer, KeyedRequest } from "./answerOnce.ts";

export type DocumentJob = Readonly<{
  journalFile: string;
  migrations: string;
  now: string;
  request: KeyedRequest | null;
}>;

export type ToDocumentWorker =
  | Readonly<{ kind: "bytes"; bytes: Uint8Array }>
  | Readonly<{ kind: "end" }>
  /** The journal is the worker's alone from now on. */
  | Readonly<{ kind: "keep" }>;

export type FromDocumentWorker =
  | Readonly<{ kind: "more" }>
  /** All is read and well-formed; the journal is wanted. */
  | Readonly<{ kind: "keeping" }>
  | Readonly<{ kind: "done"; given: GivenAnswer }>
  | Readonly<{ kind: "refused"; code: RefusalCode; message: string; fields: FieldRefusals }>
  | Readonly<{ kind: "failed"; message: string }>;
