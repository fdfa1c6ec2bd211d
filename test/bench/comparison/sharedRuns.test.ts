import { expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { sameSettingRows, sameSettingScores } from "../../../server/bench/comparison/sameSetting.ts";
import { seededRandom } from "../../../server/numerics/seededRandom.ts";
import { build, run } from "./benchDay.ts";

it("says of runs that were asked about before what it says of those of each load alone, read anew", () => {
  const random = seededRandom(21);
  const oneOf = <Of>(all: readonly Of[]): Of => all[random.index(all.length)]!;
  const loads = ["all-core", "light"];
  const drawn = (name: string) =>
    build(
      name,
      Array.from({ length: 30 }, (_, i) =>
        run({
          id: `${name}${i}`,
          mountId: `${name} ${random.index(3)}`,
          startedAt: `2031-03-0${1 + random.index(3)}T10:${10 + i}:00.000Z`,
          workloadId: oneOf(loads),
          clockMhz: oneOf([4500, 4600]),
          durationS: oneOf([300, 900]),
          loadTempC: 70 + 10 * random.uniform(),
          powerW: 120 + 10 * random.uniform(),
          powerAt: oneOf(["chip", "wall"]),
          fanRpm: oneOf([null, 1000, 1050, 1600]),
          score: oneOf([null, 900 + 20 * random.uniform()]),
        }),
      ),
    );
  const builds = ["a", "b", "c", "d"].map(drawn);
  let rows = 0;
  for (const a of builds)
    for (const b of builds.filter((one) => one !== a)) {
      const others = builds.filter((one) => one !== a && one !== b);
      const asked = { a, b, others, idleWorkloadIds: new Set<string>(), assumptions: usualAssumptions };
      const said = [...sameSettingRows(asked), ...sameSettingScores(asked)];
      for (const load of loads) {
        const alone = <Of extends typeof a>(of: Of) => ({
          ...of,
          runs: structuredClone(of.runs.filter(({ workloadId }) => workloadId === load)),
        });
        const afresh = { ...asked, a: alone(a), b: alone(b), others: others.map(alone) };
        expect(said.filter(({ workloadId }) => workloadId === load)).toEqual([
          ...sameSettingRows(afresh),
          ...sameSettingScores(afresh),
        ]);
      }
      rows += said.filter(({ low }) => low !== null).length;
    }
  expect(rows).toBeGreaterThan(100);
});
