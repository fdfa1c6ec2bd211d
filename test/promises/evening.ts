/**
 * What the attendant promises, at length: deaths, gaps and false passes on a simulated machine and a real server.
 * npm run evening -- --seed 1 --deaths 200 --gaps 100 --tricks 50
 */
import { parseArgs } from "node:util";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { deathsTold } from "../attend/deaths.ts";
import { tricksTold } from "../attend/falsePasses.ts";
import { gapsTold } from "../attend/gaps.ts";

const { values } = parseArgs({
  options: {
    seed: { type: "string", default: "1" },
    deaths: { type: "string", default: "200" },
    gaps: { type: "string", default: "100" },
    tricks: { type: "string", default: "50" },
  },
});
const [seed, deaths, gaps, tricks] = [values.seed, values.deaths, values.gaps, values.tricks].map(Number) as [
  number,
  number,
  number,
  number,
];

const died = deaths === 0 ? [] : await deathsTold(deaths, seed);
const wrongDeaths = died.filter(
  ({ outcome, offS, starts }) => outcome !== "died" || offS > 2 || starts !== 1,
);
console.log(
  `${died.length} deaths: ${wrongDeaths.length} told wrongly, none further off than ${Math.max(0, ...died.map(({ offS }) => offS)).toFixed(1)} s`,
);
const cut = gaps === 0 ? [] : await gapsTold(gaps, seed);
const wrongGaps = cut.filter(
  (one) => one.outcome !== "pass" || one.lacking + one.twice + one.falsePasses > 0,
);
console.log(`${cut.length} gaps: ${wrongGaps.length} with a reading lost or doubled, or a pass that was not`);
const tricked = tricks === 0 ? [] : await tricksTold(tricks, seededRandom(seed));
const wrongTricks = tricked.filter(({ isFair }) => !isFair);
console.log(`${tricked.length} false passes tried: ${wrongTricks.length} taken for a pass or a crash`);
for (const one of [...wrongDeaths, ...wrongGaps, ...wrongTricks]) console.log(JSON.stringify(one));
process.exitCode = wrongDeaths.length + wrongGaps.length + wrongTricks.length > 0 ? 1 : 0;
