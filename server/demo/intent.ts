import type { Attempt } from "../bench/things/attempt.ts";
import type { Setting } from "../bench/things/setting.ts";
import type { DemoLoadKey } from "./demoBenches.ts";
import type { SimulatedAttempt } from "./simulatedAttempt.ts";

/** The days of this scenario set a clock at a voltage. */
export type SetAttempt = Attempt & Setting;

export type WrittenInstead = Partial<Omit<Attempt, keyof Setting> & Setting>;

/** A try as the tester means it; `change` overrules what would be written down. */
export type Intent = Readonly<{
  load: DemoLoadKey;
  clockMhz: number;
  voltageMv: number;
  minutes: number;
  proof?: boolean;
  /** The tester breaks it off then. */
  brokenOffMin?: number;
  change?: WrittenInstead | ((run: SimulatedAttempt) => WrittenInstead);
}>;
