import type { HeatRooms } from "../../answers/heatReckoned.ts";
import { unlikeIn } from "../../bench/heat/likeRuns.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { offsetOf, type SettingUnits } from "../../bench/things/setting.ts";
import { linesOfRuns } from "../kit/buildLooks.ts";
import type { OverlaidLine } from "../kit/heatOverlay.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { type Around, aroundOf } from "./shown.ts";
import { traceSoon } from "./soon.ts";

/** One run of several laid over one another. */
export type OverlaidRun = Around & OverlaidLine & Readonly<{ idleC: number | null }>;

export const mostOverlaid = 6;
const columnsEach = 500;

/** The runs asked for that have a temperature, each with what it says; and how many long ones are being read. */
export async function overlaidRuns(
  rooms: HeatRooms,
  attempts: readonly Attempt[],
): Promise<Readonly<{ overlaid: readonly OverlaidRun[]; awaited: number }>> {
  const { journal } = rooms;
  const soFar = await Promise.all(attempts.map((attempt) => traceSoon(rooms, attempt)));
  const found = attempts.flatMap((attempt, i) => {
    const heat = soFar[i]?.found?.heat ?? null;
    const wanted = { channels: ["temperature", "ambient"], points: columnsEach };
    const window = heat === null ? undefined : journal.traces.window(attempt.id, wanted);
    if (heat === null || window === undefined) return [];
    return [{ ...aroundOf(journal, attempt), ...heat, window }];
  });
  const labels = labelsOf(found);
  const lines = linesOfRuns(
    journal.builds.all(),
    found.map(({ attempt }) => attempt.buildId),
  );
  const overlaid = found.map((one, i) => ({
    ...one,
    ...(lines[i] ?? { tone: "lead" as const, dashed: false }),
    label: labels[i] ?? "",
  }));
  return { overlaid, awaited: soFar.filter((one) => one?.isNewest !== true).length };
}

/** A clock without its unit, which the line beside it says; an offset as it is written. */
const settingShort = (attempt: Attempt, chip: SettingUnits | undefined): string =>
  offsetOf(attempt) === null && attempt.offsets === null && attempt.clockMhz !== null
    ? String(attempt.clockMhz)
    : settingWords(attempt, chip);

/** By build; where settings differ or one build has several runs, by its setting as well, and at last by the day. */
function labelsOf(runs: readonly Around[]): readonly string[] {
  const isUnlike = unlikeIn(runs.map(({ attempt }) => attempt)).includes("setting");
  const short = runs.map(({ build }) => build?.name ?? "a build");
  const withClock = runs.map(
    ({ attempt, chip }, i) => `${short[i]}, ${settingShort(attempt, chip ?? undefined)}`,
  );
  const withDay = runs.map(
    ({ attempt }, i) => `${withClock[i]}, ${attempt.startedAt.slice(5, 16).replace("T", " ")}`,
  );
  const isAlone = (names: readonly string[], i: number) =>
    names.filter((name) => name === names[i]).length === 1;
  return runs.map((_, i) =>
    isAlone(short, i) && !isUnlike
      ? (short[i] ?? "")
      : isAlone(withClock, i)
        ? (withClock[i] ?? "")
        : (withDay[i] ?? ""),
  );
}
