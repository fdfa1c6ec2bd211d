import type { NoiseCondition } from "../../bench/comparison/buildLoudness.ts";
import { type NoiseReading, noiseDraft } from "../../bench/noise/noiseReading.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import { read } from "../../requests/reading.ts";
import { kinds } from "../kit/attemptKinds.ts";
import { type FormState, type Typed, textTyped } from "../kit/forms.ts";
import { formAfterEdit } from "../kit/staleEdit.ts";
import { distanceTyped, levelsTyped, levelsWritten, soundTyped } from "./levelsTyped.ts";

/** What a reading was taken under, as one value of a list. */
export const conditionWritten = ({ workloadId, clockMhz, voltageMv }: NoiseCondition): string =>
  workloadId === null && clockMhz === null && voltageMv === null
    ? ""
    : [workloadId ?? "", clockMhz ?? "", voltageMv ?? ""].join(" ");

function conditionTyped(typed: Typed): NoiseCondition {
  const named = {
    workloadId: textTyped(typed.workloadId),
    clockMhz: kinds.clock.read(typed.clockMhz) as number | null,
    voltageMv: kinds.voltage.read(typed.voltageMv) as number | null,
  };
  if (named.workloadId !== null || named.clockMhz !== null || named.voltageMv !== null) return named;
  const [workloadId = "", clockMhz = "", voltageMv = ""] = (typed.condition ?? "").split(" ");
  const numberOf = (word: string): number | null => (word === "" ? null : Number(word));
  return { workloadId: workloadId || null, clockMhz: numberOf(clockMhz), voltageMv: numberOf(voltageMv) };
}

/** The reading as the journal takes it. */
export function readingTyped(typed: Typed) {
  const takenAt = kinds.instant.read(typed.takenAt);
  return read(
    noiseDraft,
    {
      ...conditionTyped(typed),
      levelsDba: levelsTyped(typed.levelsDba),
      backgroundDba: soundTyped(typed.backgroundDba),
      distanceM: distanceTyped(typed.distanceM) ?? undefined,
      note: typed.note ?? "",
      ...(takenAt === null ? {} : { takenAt }),
    },
    "The reading",
  );
}

export const readingWritten = (reading: NoiseReading): Typed => ({
  levelsDba: levelsWritten(reading.levelsDba),
  backgroundDba: reading.backgroundDba === null ? "" : String(reading.backgroundDba),
  distanceM: String(reading.distanceM),
  condition: conditionWritten(reading),
  takenAt: kinds.instant.write(reading.takenAt),
  note: reading.note,
  version: String(reading.version),
});

/** Levels are typed into one field, so what is wrong with any of them is said beside it. */
export function readingFormAfter(
  error: unknown,
  typed: Typed,
  standing: () => Typed = () => ({}),
): FormState {
  const form = formAfterEdit(error, typed, standing);
  if (form.refused === null || !(error instanceof Refusal) || error.code !== "invalid") return form;
  const fields: Record<string, string> = {};
  for (const [name, words] of Object.entries(form.refused.fields))
    fields[name.startsWith("levelsDba") ? "levelsDba" : name] ??= words;
  const message = fields.levelsDba ?? form.refused.message;
  return { ...form, refused: { message, fields } };
}

/** A background is good for the hours around it; a distance until the meter is put elsewhere. */
const backgroundLastsMs = 4 * 3_600_000;

/** What a fresh form begins with: the meter stands where it stood, and the background is as it was a while ago. */
export function readingBegun(
  last: NoiseReading | undefined,
  conditions: readonly NoiseCondition[],
  now: string,
): Typed {
  const isRecent = last !== undefined && Date.parse(now) - Date.parse(last.takenAt) < backgroundLastsMs;
  const condition = conditions[0] ?? last;
  return {
    ...(last && { distanceM: String(last.distanceM) }),
    ...(isRecent && last.backgroundDba !== null && { backgroundDba: String(last.backgroundDba) }),
    ...(condition && { condition: conditionWritten(condition) }),
  };
}
