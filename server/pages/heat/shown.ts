import { heatReadOf } from "../../answers/heatOfAttempt.ts";
import type { Attempt } from "../../bench/attempt.ts";
import type { Build } from "../../bench/build.ts";
import type { Channel } from "../../bench/channel.ts";
import type { Chip } from "../../bench/chip.ts";
import type { HeatRun } from "../../bench/heatReading.ts";
import type { HeatTrace } from "../../bench/heatTrace.ts";
import type { Journal } from "../../store/journal.ts";
import type { TraceOutline, TraceWindow } from "../../store/traceReading.ts";
import type { FormState } from "../forms.ts";

export type Around = Readonly<{
  attempt: Attempt;
  build: Build | null;
  chip: Chip | null;
  loadName: string;
}>;

/** What is asked of a trace: seconds from its first row, and which channel is read as the temperature. */
export type HeatAsked = Readonly<{
  channel: string;
  loadStartS: number | undefined;
  fromS: number | undefined;
  toS: number | undefined;
}>;

export type HeatShown = Around &
  Readonly<{
    asked: HeatAsked;
    isAsked: boolean;
    form: FormState;
    outline: TraceOutline;
    /** Null where the trace has no temperature under that name. */
    read: Readonly<{ trace: HeatTrace; run: HeatRun }> | null;
    window: TraceWindow;
  }>;

export function aroundOf(journal: Journal, attempt: Attempt): Around {
  const build = journal.builds.find(attempt.buildId) ?? null;
  return {
    attempt,
    build,
    chip: (build && journal.chips.find(build.chipId)) ?? null,
    loadName: journal.workloads.find(attempt.workloadId)?.name ?? "",
  };
}

/** As many columns as a wide chart has pixels, and a few more for looking closer. */
const columnsDrawn = 1200;

/** Null where the attempt has no trace. */
export function heatShown(
  journal: Journal,
  attempt: Attempt,
  asked: HeatAsked,
  form: FormState,
): HeatShown | null {
  const outline = journal.traces.outline(attempt.id);
  const wanted = { channels: [asked.channel, "ambient"], points: columnsDrawn };
  const window = outline && journal.traces.window(attempt.id, wanted);
  if (!outline || !window) return null;
  const { loadStartS, fromS, toS } = asked;
  return {
    ...aroundOf(journal, attempt),
    asked,
    isAsked: loadStartS !== undefined || fromS !== undefined || toS !== undefined,
    form,
    outline,
    read: heatReadOf(journal, attempt, asked),
    window,
  };
}

/** The channels that could be read as the temperature. */
export const temperatureChannels = ({ channels }: TraceOutline): readonly Channel[] =>
  channels.filter(({ channel, unit }) => unit === "°C" && channel !== "ambient");
