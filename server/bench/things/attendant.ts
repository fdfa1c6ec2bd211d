import * as z from "zod";
import type { AttemptDraft } from "./attempt.ts";
import { clockMhz, durationS, id, powerW, temperatureC, text, voltageMv } from "./units.ts";

/** What an attendant is doing: waiting, come up anew and asking, running a load, or about to leave. */
const attendantStates = ["here", "booted", "running", "leaving"] as const;

const source = text(200);
const named = (value: string) => value !== "" && !value.includes("/");

export const attendantName = text(80).refine(named, "An attendant's name is needed, without a slash.");

/** What an attendant says of itself, again and again: it is kept in memory alone. */
export const attendantDraft = z.strictObject({
  buildId: id,
  /** Another one means that the machine has started anew. */
  bootId: text(80),
  canRead: z.array(source).max(64),
  cannotRead: z.array(source).max(64).nullish(),
  state: z.enum(attendantStates, { error: `A state is one of: ${attendantStates.join(", ")}.` }),
  /** Whether it asks at each start, instead of waiting for what is armed. */
  evening: z.boolean().nullish(),
  /** Whether heat has been seen to end a load on this machine. */
  cutOutTried: z.boolean().nullish(),
  reads: z
    .strictObject({
      tempC: temperatureC.nullish(),
      clockMhz: clockMhz.nullish(),
      powerW: powerW.nullish(),
      voltageMv: voltageMv.nullish(),
    })
    .nullish(),
  /** The attempt whose load it runs. */
  attemptId: id.nullish(),
  elapsedS: durationS.nullish(),
  settingReadBack: z.enum(["confirmed", "cannot-tell", "differs"]).nullish(),
  /** The newest of what the load printed. */
  printing: text(4000).nullish(),
  /** Something a person should know. */
  remark: text(500).nullish(),
});
export type AttendantDraft = z.infer<typeof attendantDraft>;

/** What the page told somebody to set. */
export type ProposalShown = Readonly<{
  clockMhz: number;
  voltageMv: number;
  workloadId: string;
  durationS: number;
  /** What else stands as it did at the last attempt. */
  besides?: Pick<AttemptDraft, "knobs" | "ambientC" | "fanMode">;
}>;

/** An attendant as it was last heard. */
export type AttendantHeard = AttendantDraft & Readonly<{ name: string; heardAt: string }>;
