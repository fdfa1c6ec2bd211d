import { renderToString } from "preact-render-to-string";
import { expect, it } from "vitest";
import { FrontierTable } from "../../../server/pages/build/frontierTable.tsx";

it("gives no unit to an answer that is not known", () => {
  const points = [1000, 1100].map((voltageMv) => ({
    ...{ voltageMv, heldMhz: null, lowestCrashMhz: null, loadTempC: null, margin: "unknown", marginC: null },
    ...{ highestPassedMhz: null, contested: [], evidence: { exposureS: 0 } },
  }));
  const at = { objection: null, chance: null, done: false, lowMhz: null, highMhz: null };
  const atVoltages = [
    { ...at, voltageMv: 1000, clockMhz: null },
    { ...at, voltageMv: 1100, clockMhz: 4525, chance: 0.97 },
  ];
  const html = renderToString(
    <FrontierTable
      buildId="b"
      hottestAmbientC={30}
      frontier={{ points } as never}
      answer={{ setting: null, atVoltages } as never}
    />,
  );
  const units = [...html.matchAll(/data-head="Answer"[^>]*>/g)].map(
    ([cell]) => /data-unit="(.*?)"/.exec(cell)?.[1],
  );
  expect(units).toEqual(["MHz", undefined]);
});
