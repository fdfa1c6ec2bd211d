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
