import type { HeatRooms } from "../../answers/heatReckoned.ts";
import type { HeatRun } from "../../bench/heat/heatReading.ts";
import { type Beside, besideOf } from "../../bench/heat/measuredBeside.ts";
import type { TraceFigures } from "../../bench/heat/traceFigures.ts";
import type { Channel } from "../../bench/logs/channel.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Tone } from "../../html/plot.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { TraceOutline } from "../../store/traces/traceReading.ts";
import type { TraceWindow } from "../../store/traces/traceWindows.ts";
import { lookOf } from "../kit/buildLooks.ts";
import type { FormState } from "../kit/forms.ts";
import { traceSoon } from "./soon.ts";

export type Around = Readonly<{
  attempt: Attempt;
  build: Build | null;
  chip: Chip | null;
  loadName: string;
  /** The hue of its build. */
  tone: Tone;
}>;

/** What is asked of a trace: seconds from its first row, and which channel is read as the temperature. */
type RunQuestion = Readonly<{
  channel: string;
  loadStartS: number | undefined;
  fromS: number | undefined;
  toS: number | undefined;
}>;

/** The stretch that is looked at; the whole trace where nothing is said. */
type ViewQuestion = Readonly<{ fromS: number | undefined; toS: number | undefined }>;

export type HeatShown = Around &
  Readonly<{
    asked: RunQuestion;
    view: ViewQuestion;
    isAsked: boolean;
    form: FormState;
    outline: TraceOutline;
    /** Null where the trace has no temperature under that name, and while it is read for the first time. */
    run: HeatRun | null;
    /** Seconds from the first row to the last that was read; null while it is read for the first time. */
    readToS: number | null;
    /** Whether it is being read, for the first time or anew. */
    isAwaited: boolean;
    /** What the trace measured of the setting, and where that is not what was typed. */
    figures: TraceFigures | null;
    beside: readonly Beside[];
    window: TraceWindow;
  }>;

export function aroundOf(journal: Journal, attempt: Attempt): Around {
  const build = journal.builds.find(attempt.buildId) ?? null;
  return {
    attempt,
    build,
    chip: (build && journal.chips.find(build.chipId)) ?? null,
    loadName: journal.workloads.find(attempt.workloadId)?.name ?? "",
    tone: lookOf(journal.builds.all(), attempt.buildId).tone,
  };
}

/** As many columns as a wide chart has pixels, and a few more for looking closer. */
const columnsDrawn = 1200;

export type HeatPageQuestion = Readonly<{ asked: RunQuestion; view: ViewQuestion; form: FormState }>;

/** Null where the attempt has no trace. */
export async function heatShown(
  rooms: HeatRooms,
  attempt: Attempt,
  { asked, view, form }: HeatPageQuestion,
): Promise<HeatShown | null> {
  const { journal } = rooms;
  const outline = journal.traces.outline(attempt.id);
  const wanted = { channels: [asked.channel, "ambient"], points: columnsDrawn, ...view };
  const window = outline && journal.traces.window(attempt.id, wanted);
  if (!outline || !window) return null;
  const soFar = await traceSoon(rooms, attempt, asked);
  const found = soFar?.found ?? null;
  const figures = attempt.outcome === "running" ? null : (found?.figures ?? null);
  return {
    ...aroundOf(journal, attempt),
    asked,
    view,
    isAsked: [...Object.values(view), asked.loadStartS, asked.fromS, asked.toS].some(
      (value) => value !== undefined,
    ),
    form,
    outline,
    run: found?.heat?.run ?? null,
    readToS: found?.readToS ?? null,
    isAwaited: soFar?.isNewest !== true,
    figures,
    beside: figures === null ? [] : besideOf(attempt, figures, journal.attempts.editsOf(attempt.id)),
    window,
  };
}

/** The channels that could be read as the temperature. */
export const temperatureChannels = ({ channels }: TraceOutline): readonly Channel[] =>
  channels.filter(({ channel, unit }) => unit === "°C" && channel !== "ambient");
