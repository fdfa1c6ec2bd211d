import type { Chip } from "../things/chip.ts";

/** Whether the machine is at the setting that the journal thinks it is at. */
type SettingReadBack = "confirmed" | "cannot-tell" | "differs";

export type SettingRead = Readonly<{ clockMhz: number | null; voltageMv: number | null }>;

export type ReadBackOf = Readonly<{
  asked: SettingRead;
  read: SettingRead;
  /** The settings it could be at instead: the last one, and the defaults. */
  others: readonly SettingRead[];
  /** How far the voltage reads under the one that is set, as far as earlier runs showed it. */
  droopMv: number | null;
}>;

export type ReadBack = Readonly<{ says: SettingReadBack; because: string }>;

/** Whether the clock and voltage that a machine reads tell what its chip is set to: no offset does, nor a memory's rate. */
export const showsInReadings = ({ axis, kind }: Pick<Chip, "axis" | "kind">): boolean =>
  axis === "clock" && kind !== "memory";

/** The multiplier is exact, the base clock wanders by a few tenths of a percent (common practice). */
const clockTolerance = 0.006;
const voltageToleranceMv = 8;

/**
 * A reading confirms the setting where it agrees with it and lies clearly nearer to it than to each of the others; it
 * differs where a clock, or a voltage whose droop is known, lies elsewhere.
 */
export function readBackOf({ asked, read, others, droopMv }: ReadBackOf): ReadBack {
  const clock = told(read.clockMhz, asked.clockMhz, clockTolerance * (asked.clockMhz ?? 0));
  const setMv = read.voltageMv === null || droopMv === null ? null : read.voltageMv + droopMv;
  const voltage = told(setMv, asked.voltageMv, voltageToleranceMv);
  if (clock === null && voltage === null)
    return { says: "cannot-tell", because: "The machine tells neither its clock nor its voltage." };
  const seen = [
    ...(clock === null ? [] : [`${Math.round(clock.read)} MHz`]),
    ...(voltage === null ? [] : [`${Math.round(read.voltageMv ?? 0)} mV`]),
  ].join(" at ");
  if (clock?.agrees === false || voltage?.agrees === false)
    return { says: "differs", because: `The machine reads ${seen}.` };
  const isTold = (other: SettingRead): boolean =>
    clock?.isFarFrom(other.clockMhz) === true || voltage?.isFarFrom(other.voltageMv) === true;
  if (!others.every(isTold))
    return { says: "cannot-tell", because: `It reads ${seen}, as another setting would too.` };
  return { says: "confirmed", because: `It reads ${seen}.` };
}

type Told = Readonly<{
  read: number;
  agrees: boolean;
  /** Whether the reading lies clearly nearer to what was asked than to this. */
  isFarFrom(other: number | null): boolean;
}>;

function told(read: number | null, asked: number | null, tolerance: number): Told | null {
  if (read === null || asked === null) return null;
  const off = Math.abs(read - asked);
  return {
    read,
    agrees: off <= tolerance,
    isFarFrom: (other) => other !== null && Math.abs(read - other) > 2 * off && other !== asked,
  };
}
