import { customType } from "drizzle-orm/sqlite-core";

/** Between the bench's units and the journal's: MHz and kHz, mV and µV, ISO instants and milliseconds. */
export const toThousandths = (value: number): number => Math.round(value * 1000);
export const fromThousandths = (value: number): number => value / 1000;
export const toThousandthsOrNull = (value: number | null): number | null =>
  value === null ? null : toThousandths(value);
export const fromThousandthsOrNull = (value: number | null): number | null =>
  value === null ? null : value / 1000;
export const toMs = (instant: string): number => Date.parse(instant);
export const toInstant = (ms: number): string => new Date(ms).toISOString();
export const toInstantOrNull = (ms: number | null): string | null => (ms === null ? null : toInstant(ms));

/** A clock in MHz or a voltage in mV, in the file a whole number of kHz or µV. */
export const thousandths = customType<{ data: number; driverData: number }>({
  dataType: () => "integer",
  toDriver: toThousandths,
  fromDriver: fromThousandths,
});

/** An ISO instant, in the file milliseconds since 1970. */
export const moment = customType<{ data: string; driverData: number }>({
  dataType: () => "integer",
  toDriver: toMs,
  fromDriver: toInstant,
});
