import {
  type AsSet,
  isSetByClock,
  offsetOf,
  offsetsListed,
  offsetWords,
  type SettingUnits,
} from "../../bench/things/setting.ts";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { Quantity } from "../../html/quantity.tsx";
import { useClockUnit } from "./clockUnit.ts";
import { unparted } from "./unparted.ts";

/** A clock and a voltage, each held together with its unit. */
export const Clock = ({ mhz, unit }: { mhz: number; unit?: string }) => {
  const usual = useClockUnit();
  return <Quantity value={formatNumber(mhz)} unit={unit ?? usual} />;
};
const Voltage = ({ mv }: { mv: number }) => <Quantity value={formatMilli(mv)} unit="V" />;

type Props = AsSet & Readonly<{ units?: SettingUnits | undefined }>;

/** What was set: a clock at a voltage, a clock on automatic voltage, or an offset. */
export const SettingInWords = (set: Props) => {
  const { clockMhz, voltageMv, units } = set;
  if (clockMhz === null || offsetOf(set) !== null || set.offsets != null)
    return <>{unparted(settingWords(set, units))}</>;
  const clock = <Clock mhz={clockMhz} {...(units && { unit: units.clockUnit })} />;
  if (voltageMv === null) return <>{clock} on automatic voltage</>;
  return (
    <>
      {clock} at <Voltage mv={voltageMv} />
    </>
  );
};

/** The same as plain text, for a label or a sentence. */
export function settingWords(set: AsSet, units: SettingUnits | undefined): string {
  const offset = offsetOf(set);
  if (offset !== null) return `${offsetWords(offset, units)}${set.part ? ` on ${set.part}` : ""}`;
  if (set.offsets != null) return offsetsListed(set.offsets, units);
  const clock = `${formatNumber(set.clockMhz)} ${units?.clockUnit ?? "MHz"}`;
  return isSetByClock(set) ? `${clock} at ${formatMilli(set.voltageMv)} V` : `${clock} on automatic voltage`;
}

type Offsets = Readonly<Record<string, number>>;

/** "−45 to −25 mV": from the least of a list to the most; elsewhere each part is named. */
export function offsetsSpan(offsets: Offsets, unit: string | undefined): string {
  const all = Object.values(offsets).sort((a, b) => a - b);
  const [low = 0, high = 0] = [all[0], all.at(-1)];
  const span = low === high ? offsetWords(low) : `${offsetWords(low)} to ${offsetWords(high)}`;
  return unit === undefined || unit === "counts" ? span : `${span} ${unit}`;
}

/** "−45 to −25 mV, 3 parts": a list in the room of one offset. */
export const offsetsInShort = (offsets: Offsets, unit: string | undefined): string => {
  const parts = Object.keys(offsets).length;
  return `${offsetsSpan(offsets, unit)}, ${parts} ${parts === 1 ? "part" : "parts"}`;
};
