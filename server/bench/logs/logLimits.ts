import { Refusal } from "../things/refusal.ts";

/** How much of a log is taken in; each is a setting and is named in the refusal. */
export type LogLimits = Readonly<{ bytes: number; rows: number; columns: number; lineBytes: number }>;

export const usualLogLimits: LogLimits = {
  bytes: 1_073_741_824,
  rows: 20_000_000,
  columns: 1_000,
  lineBytes: 1_048_576,
};

/** Fewer rows than this tell nothing about how a temperature moves; a crash may leave no more. */
export const fewestRows = 2;

const grouped = (value: number): string => value.toLocaleString("en");

export const tooManyBytes = (limits: LogLimits): Refusal =>
  new Refusal("too-large", `The log is larger than ${grouped(limits.bytes)} bytes, the most that is read.`);

export const tooManyRows = (limits: LogLimits): Refusal =>
  new Refusal("too-large", `The log has more than ${grouped(limits.rows)} rows, the most that are read.`);

export const tooManyColumns = (found: number, limits: LogLimits): Refusal =>
  new Refusal(
    "invalid",
    `The log has ${grouped(found)} columns; at most ${grouped(limits.columns)} are read.`,
  );

export const lineTooLong = (line: number, limits: LogLimits): Refusal =>
  new Refusal(
    "invalid",
    `Line ${grouped(line)} is longer than ${grouped(limits.lineBytes)} bytes, the most a line may have.`,
  );
