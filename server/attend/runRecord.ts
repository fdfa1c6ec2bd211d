import type { Outcome } from "../bench/things/outcome.ts";
import type { ErrorCounts } from "../kernel/errorCounts.ts";
import type { SpoolDisk } from "./spoolDisk.ts";
import { recordsIn, spoolLine } from "./spoolLine.ts";

/** A run as its spool holds it, record by record. */
export type RunRecord = Begun | SecondTold | EndTold;

export type Begun = Readonly<{
  kind: "begun";
  attemptId: string;
  buildId: string;
  server: string;
  bootId: string;
  /** By the server's clock, as far as it is known; ISO 8601. */
  startedAt: string;
  setting: Readonly<{ clockMhz: number | null; voltageMv: number | null }>;
}>;

export type SecondTold = Readonly<{
  kind: "second";
  /** Counts the seconds of a run: by it the server knows one that is sent twice. */
  seq: number;
  /** Seconds since the load was started. */
  t: number;
  beat: Readonly<{
    tempC?: number;
    powerW?: number;
    loadVoltageMv?: number;
    clockMhz?: number;
    correctedErrors?: ErrorCounts;
  }>;
  row: Readonly<Record<string, number>>;
  /** What the load printed since the last one. */
  printed?: string;
}>;

export type EndTold = Readonly<{
  kind: "end";
  /** Null where a person, or the server, has said already how it ended. */
  outcome: Outcome | null;
  durationS: number;
  /** By the server's clock. */
  endedAt: string;
  /** What is known besides, as the attempt keeps it. */
  fields: Readonly<Record<string, unknown>>;
}>;

type Delivered = Readonly<{ kind: "delivered"; upTo: number }>;

/** The spool of one run: what happened, in order, and how much of it the server has. */
export type RunSpool = Readonly<{
  name: string;
  begun: Begun;
  records(): readonly RunRecord[];
  /** The last second that is known, and what the load had printed by then. */
  lastS(): number;
  end(): EndTold | null;
  delivered(): number;
  add(record: RunRecord): void;
  /** Returns once all of it is on the disk; false where that failed. */
  syncNow(): boolean;
  sync(): void;
  noteDelivered(upTo: number): void;
  /** All of it has arrived. */
  close(): void;
  /** The server will not have it; it is kept under another name. */
  putAside(): void;
}>;

const ending = ".run";

const spoolNameOf = (attemptId: string): string => `${attemptId}${ending}`;
export const spoolNames = (disk: SpoolDisk): readonly string[] =>
  disk.names().filter((name) => name.endsWith(ending));

/** Begins the spool of a run. */
export function beginSpool(disk: SpoolDisk, begun: Begun): RunSpool {
  const spool = spoolOn(disk, spoolNameOf(begun.attemptId), begun, [], 0);
  spool.add(begun);
  return spool;
}

/** The spool that a run left; null where not even its beginning is whole. */
export function openSpool(disk: SpoolDisk, name: string): RunSpool | null {
  const text = disk.read(name) ?? "";
  const found = recordsIn(text) as readonly (RunRecord | Delivered)[];
  const records = found.filter((one): one is RunRecord => one.kind !== "delivered");
  const begun = records.find((one) => one.kind === "begun");
  if (begun === undefined) return null;
  const delivered = found.reduce(
    (most, one) => (one.kind === "delivered" ? Math.max(most, one.upTo) : most),
    0,
  );
  // What a crash tore stays where it is; what comes next begins a line of its own.
  if (text !== "" && !text.endsWith("\n")) disk.append(name, "\n");
  return spoolOn(disk, name, begun, records, Math.min(delivered, records.length));
}

function spoolOn(
  disk: SpoolDisk,
  name: string,
  begun: Begun,
  known: readonly RunRecord[],
  deliveredAlready: number,
): RunSpool {
  const records = [...known];
  let delivered = deliveredAlready;
  return {
    name,
    begun,
    records: () => records,
    lastS: () => records.reduce((most, one) => (one.kind === "second" ? Math.max(most, one.t) : most), 0),
    end: () => records.find((one) => one.kind === "end") ?? null,
    delivered: () => delivered,
    add: (record) => {
      records.push(record);
      disk.append(name, spoolLine(record));
    },
    syncNow: () => disk.syncNow(name),
    sync: () => disk.sync(name),
    noteDelivered: (upTo) => {
      if (upTo <= delivered) return;
      delivered = upTo;
      disk.append(name, spoolLine({ kind: "delivered", upTo } satisfies Delivered));
    },
    close: () => disk.remove(name),
    putAside: () => disk.rename(name, `${name}.refused`),
  };
}

/** What the load had printed, of the seconds that are known. */
export const printedIn = (records: readonly RunRecord[]): string =>
  records.map((one) => (one.kind === "second" ? (one.printed ?? "") : "")).join("");
