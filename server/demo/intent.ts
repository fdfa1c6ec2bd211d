import type { Attempt } from "../bench/things/attempt.ts";
import type { DemoLoadKey } from "./demoBenches.ts";
import type { SimulatedAttempt } from "./simulatedAttempt.ts";

type Change = Partial<Attempt>;

/** A try as the tester means it; `change` overrules what would be written down. */
export type Intent = Readonly<{
  load: DemoLoadKey;
  clockMhz: number;
  voltageMv: number;
  minutes: number;
  proof?: boolean;
  /** The tester breaks it off then. */
  brokenOffMin?: number;
  change?: Change | ((run: SimulatedAttempt) => Change);
}>;
