import { earliestFinalS, startSlackS } from "./heatReading.ts";
import { forecastFrom } from "./heatRun.ts";
import { between, type HeatTrace, soundTemperatures, stepOf } from "./heatTrace.ts";
import { loadSpanOf } from "./loadSpan.ts";

/** What a run that still goes on would come to. */
export type RunForecast =
  | Readonly<{ state: "too-early"; because: string }>
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
      sentence: string;
    }>;

export type ForecastQuestion = Readonly<{ loadStartS?: number | null; tempLimitC?: number | null }>;

/** The forecast from what was recorded so far; from five minutes of load on. */
export function runForecastOf(trace: HeatTrace, question: ForecastQuestion = {}): RunForecast {
  const sound = soundTemperatures(trace);
  const load = loadSpanOf(trace, sound, question.loadStartS ?? null);
  if (load === undefined) return tooEarly("No load is seen in the temperature yet.");
  const underS = load.toS - load.fromS;
  if (underS < earliestFinalS - startSlackS)
    return tooEarly(
      `Too early to say: ${Math.round(underS)} s of load so far, ${earliestFinalS} s are needed.`,
    );
  const under = between(sound, load.fromS, load.toS);
  const t = under.t.map((at) => at - load.fromS);
  const found = forecastFrom({ t, values: under.values }, stepOf(sound.values));
  if (found === undefined)
    return tooEarly("The temperature hardly changes, so there is nothing to forecast.");
  const levelsInS = Math.max(0, found.settledLate - underS);
  const levelled = levelsInS === 0 && found.remainder <= 1;
  const crosses = crossing(found, question.tempLimitC ?? null);
  const forecast = { finalC: found.level, lowC: found.low, highC: found.high, levelsInS, levelled };
  return {
    state: "forecast",
    ...forecast,
    crossesLimit: crosses,
    sentence: sentenceOf(forecast, crosses, question),
  };
}

const tooEarly = (because: string): RunForecast => ({ state: "too-early", because });

function crossing(
  found: { level: number; high: number },
  limitC: number | null,
): "surely" | "perhaps" | "no" {
  if (limitC === null || found.high < limitC) return "no";
  return found.level >= limitC ? "surely" : "perhaps";
}

function sentenceOf(
  forecast: { finalC: number; lowC: number; highC: number; levelsInS: number; levelled: boolean },
  crosses: "surely" | "perhaps" | "no",
  { tempLimitC }: ForecastQuestion,
): string {
  const half = Math.max(1, Math.round((forecast.highC - forecast.lowC) / 2));
  const level = `${Math.round(forecast.finalC)} ± ${half} °C`;
  const minutes = Math.max(1, Math.ceil(forecast.levelsInS / 60));
  const when = `in ${minutes} ${minutes === 1 ? "minute" : "minutes"}`;
  const heat =
    crosses === "no"
      ? ""
      : ` It ${crosses === "surely" ? "would" : "may"} cross the limit of ${tempLimitC} °C.`;
  if (forecast.levelled) return `Levelled at ${level}; you may stop.${heat}`;
  return `Would level at ${level} ${when}${half <= 2 ? "; you may stop" : ""}.${heat}`;
}
