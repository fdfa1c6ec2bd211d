import type { ColumnMatch } from "../../server/bench/logs/columnMatch.ts";
import { type LogLimits, usualLogLimits } from "../../server/bench/logs/logLimits.ts";
import { openSensorLog } from "../../server/csv/sensorLog.ts";

export type ReadLog = Readonly<{
  t: number[];
  channels: Record<string, number[]>;
  matches: readonly ColumnMatch[];
  skipped: readonly { line: number; because: string }[];
  adjusted: readonly { line: number; because: string }[];
  startedAtSeconds: number | undefined;
  startedAtLocal: string | undefined;
}>;

export type ReadingWanted = {
  matches?: readonly ColumnMatch[];
  limits?: Partial<LogLimits>;
  pieceBytes?: number;
  tolerantOnly?: boolean;
};

/** Reads a whole log, sent in pieces of any size. */
export async function readLog(log: string | Buffer, wanted: ReadingWanted = {}): Promise<ReadLog> {
  const bytes = typeof log === "string" ? Buffer.from(log) : log;
  const pieceBytes = wanted.pieceBytes ?? 65_536;
  async function* pieces() {
    for (let at = 0; at < bytes.length; at += pieceBytes)
      yield Buffer.from(bytes.subarray(at, at + pieceBytes));
  }
  const limits = { ...usualLogLimits, ...wanted.limits };
  const opened = await openSensorLog(pieces(), { limits, tolerantOnly: wanted.tolerantOnly ?? false });
  const matches = wanted.matches ?? opened.proposal;
  const names = matches.filter(({ channel }) => channel !== "time").map(({ channel }) => channel);
  const t: number[] = [];
  const channels: Record<string, number[]> = Object.fromEntries(names.map((name) => [name, []]));
  for await (const chunk of opened.rows(matches)) {
    t.push(...chunk.t.subarray(0, chunk.rows));
    names.forEach((name, at) => {
      channels[name]?.push(...(chunk.columns[at]?.subarray(0, chunk.rows) ?? []));
    });
  }
  return { t, channels, matches, ...opened.remarks() };
}
