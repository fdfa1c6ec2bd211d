import { aims } from "../../answers/benchAdvice.ts";
import { isId } from "../../bench/things/units.ts";
import type { Typed } from "./forms.ts";
import { clockTyped, voltageTyped } from "./quantityTyped.ts";

/** What the tester is after, as addresses and forms carry it from one attempt to the next; what is usual is null. */
export type Pursuit = Readonly<{
  aim: string | null;
  atMv: number | null;
  atMhz: number | null;
  pooled: "no" | null;
  /** The voltages of a map, in mV with commas between. */
  voltages: string | null;
  /** The load that is looked at. */
  load: string | null;
  /** When the bench time there is ends. */
  until: string | null;
}>;

const within = (value: number | null, low: number, high: number): number | null =>
  value !== null && value >= low && value <= high ? value : null;

export const pursuitIn = (typed: Typed): Pursuit => ({
  aim: aims.find((aim) => aim === typed.aim && aim !== "clock") ?? null,
  atMv: within(voltageTyped(typed.atMv), 100, 3000),
  atMhz: within(clockTyped(typed.atMhz), 1, 20_000),
  pooled: typed.pooled === "no" ? "no" : null,
  voltages: voltagesTyped(typed.voltages).join(",") || null,
  load: typed.load && isId(typed.load) ? typed.load : null,
  until: Number.isNaN(Date.parse(typed.until ?? "")) ? null : new Date(typed.until as string).toISOString(),
});

const mostVoltages = 20;

/** Voltages as people write them in a row: 1.05, 1.1 and 1050 1100 and 1,05; 1,1. What is none is left out. */
export function voltagesTyped(typed: string | undefined): number[] {
  const row = (typed ?? "").replace(/,\s+/g, " ");
  const parts = row.split(/\.|\d{3}/.test(row) ? /[;,\s]+/ : /[;\s]+/);
  const read = parts.flatMap((part) => within(voltageTyped(part), 100, 3000) ?? []);
  return [...new Set(read)].sort((a, b) => a - b).slice(0, mostVoltages);
}

/** Of a form or an address, only what says what the tester is after. */
export const pursuitTyped = ({ aim, atMv, atMhz, pooled, voltages, load, until }: Typed): Typed => ({
  aim,
  atMv,
  atMhz,
  pooled,
  voltages,
  load,
  until,
});

/** Goes along unseen in a form. */
export const PursuitFields = ({ pursuit }: { pursuit: Pursuit }) => (
  <>
    {Object.entries(pursuit).map(([name, value]) =>
      value === null ? null : <input key={name} type="hidden" name={name} value={String(value)} />,
    )}
  </>
);
