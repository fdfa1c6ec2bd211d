import type { SeededRandom } from "../numerics/seededRandom.ts";
import { rounded, type SimulatedAttempt } from "./simulatedAttempt.ts";
import {
  fanRpmAt,
  idleLoad,
  type SimulatedBench,
  type SimulatedSetting,
  type SimulatedWorkload,
  steadyStateOf,
} from "./simulatedBench.ts";
import { temperatureAt, type WarmUp } from "./warmUp.ts";

/** One second of a sensor log. */
export type TraceRow = Readonly<{
  timeS: number;
  tempC: number;
  supplyC: number;
  ambientC: number;
  powerW: number;
  voltageMv: number;
  clockMhz: number;
  fanRpm: number;
  load: number;
}>;

/** Seconds at idle before the load begins and after it ends. */
export type TraceSpan = Readonly<{ beforeS: number; afterS: number }>;

/** What a logger reading once a second saw of an attempt: idle, load, and idle again unless it crashed. */
export function traceOf(
  bench: SimulatedBench,
  setting: SimulatedSetting,
  workload: SimulatedWorkload,
  attempt: Pick<SimulatedAttempt, "warmUp" | "durationS" | "failedAtS">,
  span: TraceSpan,
  random: SeededRandom,
): readonly TraceRow[] {
  const { warmUp, durationS } = attempt;
  const idle = steadyStateOf(bench, setting, idleLoad);
  const loaded = steadyStateOf(bench, setting, workload);
  const loggedS = span.beforeS + durationS + (attempt.failedAtS === null ? span.afterS : 0);
  const noise = slowNoise(bench.sensor.noiseC, bench.sensor.noiseTimeS, random);
  const rows: TraceRow[] = [];
  for (let timeS = 0; timeS < loggedS; timeS++) {
    const loadS = timeS - span.beforeS;
    const under = loadS >= 0 && loadS < durationS;
    const now = under ? loaded : idle;
    const trueC = traceTemperature(warmUp, loadS, durationS);
    const ambientC = bench.room.ambientC + (bench.room.driftCPerH * Math.max(0, loadS)) / 3600;
    rows.push({
      timeS,
      tempC: rounded(trueC + noise(), bench.sensor.stepC),
      supplyC: rounded(supplyTemperature(bench, warmUp, trueC, ambientC, loaded.powerW), 1),
      ambientC: rounded(ambientC + 0.05 * random.normal(), 0.1),
      powerW: rounded(now.powerW * (1 + 0.012 * random.normal()), 0.1),
      voltageMv: rounded(now.loadVoltageMv + 1.5 * random.normal(), 4),
      clockMhz: under ? setting.clockMhz : rounded(setting.clockMhz * 0.5, 25),
      fanRpm: rounded(fanRpmAt(bench.fans, trueC) + 6 * random.normal(), 1),
      load: under ? 100 : random.index(4),
    });
  }
  return rows;
}

function traceTemperature(warmUp: WarmUp, loadS: number, durationS: number): number {
  if (loadS < 0) return warmUp.startC;
  if (loadS < durationS) return temperatureAt(warmUp, loadS);
  const { fastShare, fastS, slowS } = warmUp.cooling;
  const afterS = loadS - durationS;
  const kept = fastShare * Math.exp(-afterS / fastS) + (1 - fastShare) * Math.exp(-afterS / slowS);
  return warmUp.startC + (temperatureAt(warmUp, durationS) - warmUp.startC) * kept;
}

/** The supply follows the chip's rise, in proportion to its own. */
function supplyTemperature(
  bench: SimulatedBench,
  warmUp: WarmUp,
  tempC: number,
  ambientC: number,
  loadedW: number,
): number {
  const share = (tempC - ambientC) / Math.max(1, warmUp.steadyC - bench.room.ambientC);
  return ambientC + share * bench.board.supplyRiseCPerW * loadedW;
}

/** Noise that wanders: each second keeps most of the last one (an Ornstein-Uhlenbeck process read once a second). */
function slowNoise(deviationC: number, timeS: number, random: SeededRandom): () => number {
  const kept = Math.exp(-1 / timeS);
  let value = deviationC * random.normal();
  return () => {
    value = kept * value + deviationC * Math.sqrt(1 - kept * kept) * random.normal();
    return value;
  };
}

/** The trace as the CSV file a logger would leave: units in the header, the supply's column blank now and then. */
export function traceCsv(rows: readonly TraceRow[]): string {
  const header =
    "Time [s],Core hottest [°C],Supply [°C],Room [°C],Chip power [W],Core voltage [V],Clock [MHz],Fan [rpm],Load [%]";
  const lines = rows.map((row) =>
    [
      row.timeS,
      row.tempC,
      row.timeS % 97 === 60 ? "" : row.supplyC,
      row.ambientC.toFixed(1),
      row.powerW.toFixed(1),
      (row.voltageMv / 1000).toFixed(3),
      row.clockMhz,
      row.fanRpm,
      row.load,
    ].join(","),
  );
  return `${[header, ...lines].join("\n")}\n`;
}
