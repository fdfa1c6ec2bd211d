import { heldBackWords, minuteOf } from "./heatNotes.ts";
import { earliestFinalS, type HeatQuestion, type HeatRun, startSlackS } from "./heatReading.ts";

/** What a run that still goes on would come to. */
export type RunForecast =
  | Readonly<{ state: "too-early"; because: string }>
  /** Something changed under load, or the temperature swings: there is a level and no end. */
  | Readonly<{ state: "no-end"; levelC: number | null; because: string }>
  | Readonly<{
      state: "forecast";
      finalC: number;
      lowC: number;
      highC: number;
      /** Seconds from now until it comes within 1 °C of its level; 0 where it has. */
      levelsInS: number;
      levelled: boolean;
      /** True where the forecast, or the upper end of it, crosses the chip's limit. */
      crossesLimit: "surely" | "perhaps" | "no";
      heldBackMhz: number | null;
      sentence: string;
    }>;

/** The forecast of a run, by the question it was read by; from five minutes of load on. */
export function forecastFrom(run: HeatRun, question: HeatQuestion): RunForecast {
  const { load, final } = run;
  if (load === null) return tooEarly("No load is seen in the temperature yet.");
  const underS = load.toS - load.fromS;
  if (underS < earliestFinalS - startSlackS)
    return tooEarly(
      `Too early to say: ${Math.round(underS)} s of load so far, ${earliestFinalS} s are needed.`,
    );
  if (run.change !== null || run.cycle !== null) return noEnd(run, question);
  if (run.tellsFromS !== null)
    return tooEarly(
      `${lastMinutes(run)} Where it tends cannot be told before minute ${Math.ceil(run.tellsFromS / 60)}: the course is slow.`,
    );
  if (final === null) return tooEarly("The temperature hardly changes, so there is nothing to forecast.");
  const levelsInS = Math.max(0, (run.settlesAtS ?? 0) - underS);
  const levelled = levelsInS === 0 && (run.remainderC ?? 0) <= 1;
  const crosses = crossing(final, question.tempLimitC ?? null);
  const forecast = { finalC: final.c, lowC: final.lowC, highC: final.highC, levelsInS, levelled };
  return {
    state: "forecast",
    ...forecast,
    crossesLimit: crosses,
    heldBackMhz: run.heldBackMhz,
    sentence: sentenceOf(forecast, crosses, question, run),
  };
}

const lastMinutes = ({ level }: HeatRun): string =>
  level === null
    ? ""
    : `${Math.round(level.meanC)} °C over the last ${Math.round(level.windowS / 60)} minutes.`;

/** A run through which nothing is forecast: what changed, or how it swings, and where it stands now. */
function noEnd(run: HeatRun, { tempLimitC }: HeatQuestion): RunForecast {
  const { cycle, change, level } = run;
  const levelC = level?.meanC ?? null;
  const because =
    cycle === null
      ? `Something changed at minute ${minuteOf(change?.atS ?? 0, run)}, so no end is forecast. ${lastMinutes(run)}`
      : `It swings between ${Math.round(cycle.lowC)} and ${Math.round(cycle.highC)} °C about every ${Math.round(cycle.periodS)} s${levelC === null ? "" : `, ${Math.round(levelC)} °C on average`}.`;
  const isOver = tempLimitC != null && run.peakC !== null && run.peakC >= tempLimitC;
  const words = [
    because.trim(),
    isOver ? `It has crossed the limit of ${tempLimitC} °C.` : "",
    heldWords(run),
  ];
  return { state: "no-end", levelC, because: words.filter(Boolean).join(" ") };
}

const heldWords = ({ heldBackMhz }: HeatRun): string =>
  heldBackMhz === null ? "" : heldBackWords(heldBackMhz);

const tooEarly = (because: string): RunForecast => ({ state: "too-early", because });

function crossing(found: { c: number; highC: number }, limitC: number | null): "surely" | "perhaps" | "no" {
  if (limitC === null || found.highC < limitC) return "no";
  return found.c >= limitC ? "surely" : "perhaps";
}

/** Running on would hardly move the figure: it is known to a degree or so. */
const surelyEnough = ({ lowC, highC }: { lowC: number; highC: number }): boolean => (highC - lowC) / 2 <= 1.2;

function sentenceOf(
  forecast: { finalC: number; lowC: number; highC: number; levelsInS: number; levelled: boolean },
  crosses: "surely" | "perhaps" | "no",
  { tempLimitC }: HeatQuestion,
  run: HeatRun,
): string {
  const half = Math.max(1, Math.round((forecast.highC - forecast.lowC) / 2));
  const level = `${Math.round(forecast.finalC)} ± ${half} °C`;
  const minutes = Math.max(1, Math.ceil(forecast.levelsInS / 60));
  const when = `in ${minutes} ${minutes === 1 ? "minute" : "minutes"}`;
  const heat =
    crosses === "no"
      ? ""
      : ` It ${crosses === "surely" ? "would" : "may"} cross the limit of ${tempLimitC} °C.`;
  const held = run.heldBackMhz === null ? "" : ` ${heldBackWords(run.heldBackMhz)}`;
  if (forecast.levelled && surelyEnough(forecast)) return `Levelled at ${level}; you may stop.${held}${heat}`;
  return `Would level at ${level} ${when}${surelyEnough(forecast) ? "; you may stop" : ""}.${held}${heat}`;
}
