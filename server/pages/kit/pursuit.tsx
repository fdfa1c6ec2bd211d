import { aims } from "../../answers/advice.ts";
import { isId } from "../../bench/things/units.ts";
import type { Typed } from "./forms.ts";
import { clockTyped, voltageTyped } from "./quantityTyped.ts";
import { voltageRowTyped } from "./voltageRow.ts";

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
  /** The knob that is looked along. */
  knob: string | null;
}>;

const within = (value: number | null, low: number, high: number): number | null =>
  value !== null && value >= low && value <= high ? value : null;

export const pursuitIn = (typed: Typed): Pursuit => ({
  aim: aims.find((aim) => aim === typed.aim && aim !== "clock") ?? null,
  atMv: within(voltageTyped(typed.atMv), 100, 3000),
  atMhz: within(clockTyped(typed.atMhz), 1, 20_000),
  pooled: typed.pooled === "no" ? "no" : null,
  voltages: voltageRowTyped(typed.voltages).voltagesMv.join(",") || null,
  load: typed.load && isId(typed.load) ? typed.load : null,
  until: Number.isNaN(Date.parse(typed.until ?? "")) ? null : new Date(typed.until as string).toISOString(),
  knob: /^[a-z0-9][a-z0-9-]{0,39}$/.test(typed.knob ?? "") ? (typed.knob as string) : null,
});

/** Of a form or an address, only what says what the tester is after. */
export const pursuitTyped = ({ aim, atMv, atMhz, pooled, voltages, load, until, knob }: Typed): Typed => ({
  aim,
  atMv,
  atMhz,
  pooled,
  voltages,
  load,
  until,
  knob,
});

/** Goes along unseen in a form. */
export const PursuitFields = ({ pursuit }: { pursuit: Pursuit }) => (
  <>
    {Object.entries(pursuit).map(([name, value]) =>
      value === null ? null : <input key={name} type="hidden" name={name} value={String(value)} />,
    )}
  </>
);
