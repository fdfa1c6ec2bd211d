import { expect, it } from "vitest";
import type { MappedLimit, NextAnswer } from "../../../server/bench/next/nextAnswer.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { volts } from "../../../server/bench/things/words.ts";
import { ask, settled } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const voltagesMv = [1100, 1150, 1200, 1250, 1300];

/** A search over all of them on a chip that goes 150 MHz further for every 50 mV. */
function searched(): NextAnswer {
  const rows: EvidenceRow[] = [];
  let next = ask(rows, { voltagesMv });
  while ("durationS" in next && rows.length < 40) {
    const { clockMhz, voltageMv, durationS } = next;
    const passes = clockMhz <= 4900 + 3 * (voltageMv - 1250);
    rows.push(
      evidenceRow({
        ...{ clockMhz, voltageMv, loadTempC: 60 },
        durationS: passes ? durationS : durationS / 2,
        outcome: passes ? "pass" : "freeze",
      }),
    );
    next = ask(rows, { voltagesMv });
  }
  return next;
}

it("says where what to run was only told by what ran elsewhere", () => {
  const { settled: found, because } = settled(searched());
  const { map } = found as { map: readonly MappedLimit[] };
  const unrun = map.filter(({ answer }) => answer?.ran === false).map(({ voltageMv }) => volts(voltageMv));
  expect(unrun.length).toBeGreaterThan(0);
  expect(unrun.length).toBeLessThan(voltagesMv.length);
  expect(because).toContain(` At ${unrun.join(", ")} what to run has not run itself yet`);
});
