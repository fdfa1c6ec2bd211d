import { aims } from "../../answers/benchAdvice.ts";
import type { Typed } from "./forms.ts";
import { clockTyped, voltageTyped } from "./quantityTyped.ts";

/** What the tester is after, as addresses and forms carry it from one attempt to the next; what is usual is null. */
export type Pursuit = Readonly<{
  aim: string | null;
  atMv: number | null;
  atMhz: number | null;
  pooled: "no" | null;
}>;

const within = (value: number | null, low: number, high: number): number | null =>
  value !== null && value >= low && value <= high ? value : null;

export const pursuitIn = (typed: Typed): Pursuit => ({
  aim: aims.find((aim) => aim === typed.aim && aim !== "clock") ?? null,
  atMv: within(voltageTyped(typed.atMv), 100, 3000),
  atMhz: within(clockTyped(typed.atMhz), 1, 20_000),
  pooled: typed.pooled === "no" ? "no" : null,
});

/** Of a form or an address, only what says what the tester is after. */
export const pursuitTyped = ({ aim, atMv, atMhz, pooled }: Typed): Typed => ({ aim, atMv, atMhz, pooled });

/** Goes along unseen in a form. */
export const PursuitFields = ({ pursuit }: { pursuit: Pursuit }) => (
  <>
    {Object.entries(pursuit).map(([name, value]) =>
      value === null ? null : <input key={name} type="hidden" name={name} value={String(value)} />,
    )}
  </>
);
