import type { Attempt } from "../../bench/things/attempt.ts";
import type { ProposalShown } from "../../bench/things/attendant.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { knobAt } from "../../bench/things/knob.ts";
import { offsetWritten, typedFrom } from "../attemptForm/attemptTyped.ts";
import type { Typed } from "../kit/forms.ts";
import { knobsWritten } from "../kit/knobTyped.ts";

/** A bench evening: rooms and fans change with the day, so what was typed of them goes no further. */
const eveningMs = 18 * 3_600_000;

/** A knob used on any of these stays on the dial. */
export const attemptsLookedBack = 20;

/** What the last attempt was set to besides clock and voltage, in the words of the bench's form. */
export function carriedSetting(attempts: readonly Attempt[], chip: Chip): Typed {
  const [last] = attempts;
  if (last === undefined) return {};
  const used = new Set(attempts.flatMap(({ knobs }) => Object.keys(knobs ?? {})));
  const stood = chip.knobs
    .filter(({ id }) => used.has(id))
    .map((knob) => [knob.id, knobAt(knob, last.knobs)] as const);
  const knobs = knobsWritten(chip, stood.length > 0 ? Object.fromEntries(stood) : null);
  if (chip.axis === "clock") return knobs;
  return { ...knobs, ...offsetWritten(last) };
}

const isOfEvening = ({ startedAt }: Attempt, now: string): boolean =>
  Date.parse(now) - Date.parse(startedAt) <= eveningMs;

/** What need not be typed again within an evening: the room and the fans. */
export function carriedRoom(last: Attempt | undefined, now: string): Typed {
  if (last === undefined || !isOfEvening(last, now)) return {};
  const { ambientC, fanMode } = typedFrom(last);
  return {
    ...(ambientC ? { ambientC } : {}),
    ...(fanMode ? { fanMode } : {}),
  };
}

/** The same for an attempt that its attendant arms by itself. */
export const carriedByAttendant = (
  last: Attempt | null,
  now: string,
): NonNullable<ProposalShown["besides"]> =>
  last === null
    ? {}
    : {
        knobs: last.knobs,
        ...(isOfEvening(last, now) && { ambientC: last.ambientC, fanMode: last.fanMode }),
      };
