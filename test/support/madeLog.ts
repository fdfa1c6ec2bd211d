import { seededRandom } from "../../server/numerics/seededRandom.ts";

/** A run from an idle 35 °C to a level with one time constant of two minutes; the load comes on after 30 s. */
const heatingC = (s: number, levelC = 80): number =>
  s < 30 ? 35 : levelC - (levelC - 35) * Math.exp(-(s - 30) / 120);

/** The log a recorder with a comma for a point would leave of it, a row a second, its readings wandering by 0.4 °C. */
export function madeLog(seconds = 1230, levelC = 80): string {
  const random = seededRandom(7);
  let wander = 0;
  const rows = Array.from({ length: seconds }, (_, s) => {
    wander = 0.88 * wander + 0.19 * random.normal();
    const c = heatingC(s, levelC) + wander;
    return `${s};${c.toFixed(1)};${(c / 2).toFixed(1)};${s < 30 ? 20 : 110};22.5`.replaceAll(".", ",");
  });
  return ["Time [s];CPU temp [°C];Board temp [°C];Package power [W];Room [°C]", ...rows, ""].join("\n");
}

/** The same as lines of samples, as a recorder sends them while the attempt runs. */
export const madeSamples = (seconds: number, levelC = 80): string =>
  [
    "elapsedS,temperatureC",
    ...madeLog(seconds, levelC)
      .split("\n")
      .slice(1, -1)
      .map((line) => line.replaceAll(",", ".").split(";").slice(0, 2).join(",")),
  ].join("\n");
