import * as z from "zod";

/** Clocks are kept to 1 kHz and voltages to 1 µV, so that steps of 6.25 mV are exact and equality means equal. */
const toThousandths = (value: number): number => Math.round(value * 1000) / 1000;

const inRange = (what: string, unit: string, low: number, high: number) =>
  z
    .number({ error: `${what} must be a number in ${unit}.` })
    .min(low, `${what} must be at least ${low} ${unit}.`)
    .max(high, `${what} must be at most ${high} ${unit}.`);

export const clockMhz = inRange("The clock", "MHz", 1, 20_000).overwrite(toThousandths);
export const clockStepMhz = inRange("The clock step", "MHz", 0.001, 1_000).overwrite(toThousandths);
export const voltageMv = inRange("The voltage", "mV", 100, 3_000).overwrite(toThousandths);
export const voltageStepMv = inRange("The voltage step", "mV", 0.001, 500).overwrite(toThousandths);
export const temperatureC = inRange("The temperature", "°C", -100, 200);
export const temperatureDifferenceC = inRange("The temperature difference", "°C", 0, 100);
export const durationS = inRange("The duration", "s", 0, 2_592_000);
export const powerW = inRange("The power", "W", 0, 5_000);
/** What a supply passes on of what it takes, in per cent. */
export const supplyEfficiencyPct = inRange("The efficiency of the supply", "%", 50, 100);
export const currentA = inRange("The current", "A", 0, 10_000);
export const soundDba = inRange("The sound level", "dB(A)", 0, 140);
export const distanceM = inRange("The distance", "m", 0.01, 100);
export const fanRpm = inRange("The fan speed", "rpm", 0, 100_000);
export const count = (what: string, high = 1_000_000) =>
  inRange(what, "", 0, high).int(`${what} must be a whole number.`);

/** Text as typed, trimmed; NUL and broken surrogates never reach the journal. */
export const text = (longest: number) =>
  z
    .string({ error: "This must be text." })
    .max(longest, `This may have at most ${longest} characters.`)
    .refine((value) => !value.includes("\u0000"), "This contains a character that cannot be kept.")
    .overwrite((value) => value.toWellFormed().trim());

export const name = text(120).refine((value) => value.trim() !== "", "A name is needed.");
export const note = text(10_000);

/** An instant is ISO 8601 with an offset; it is kept in UTC to the millisecond. */
export const instant = z.iso
  .datetime({ offset: true, error: "A time must be written like 2031-05-04T15:42:00+02:00." })
  .refine((value) => {
    const ms = Date.parse(value);
    return ms >= 0 && ms < Date.UTC(2200, 0);
  }, "A time must lie between the years 1970 and 2200.")
  .overwrite((value) => (Number.isNaN(Date.parse(value)) ? value : new Date(value).toISOString()));

const thingId = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

/** Every thing in the journal is known by a UUIDv7. */
export const id = z.string().regex(thingId, "This does not name anything in the journal.");
export const isId = (value: string): boolean => thingId.test(value);
