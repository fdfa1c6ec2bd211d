import { expect, it } from "vitest";
import type { MappedLimit, NextAnswer, Proposal } from "../../../server/bench/next/nextAnswer.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { volts } from "../../../server/bench/things/words.ts";
import { ask, settled } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

const voltagesMv = [1100, 1150, 1200, 1250, 1300];

/** A search over all of them on a chip that goes 150 MHz further for every 50 mV, as far as so many attempts. */
function searched(rows: EvidenceRow[] = [], most = 40): NextAnswer {
  let next = ask(rows, { voltagesMv });
  while ("durationS" in next && rows.length < most) {
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
  expect(because).toContain(` At ${unrun.slice(0, -1).join(", ")}`);
  expect(because).toContain(`${unrun.at(-1)} what to run has not run itself yet; ten minutes`);
});

it("has each answer that did not run itself run for ten minutes, and nothing once all of them did", () => {
  const rows: EvidenceRow[] = [];
  const unrunOf = (answer: NextAnswer): number =>
    (settled(answer).settled as { map: readonly MappedLimit[] }).map.filter(
      ({ answer: there }) => there?.ran === false,
    ).length;
  let found = searched(rows);
  let left = unrunOf(found);
  expect(left).toBeGreaterThan(1);
  for (let proofs = left; left > 0 && proofs > 0; proofs--) {
    const { proof } = settled(found);
    expect(proof).toMatchObject({ durationS: 600, purpose: "prove" });
    const { clockMhz, voltageMv, durationS } = proof as Proposal;
    rows.push(evidenceRow({ clockMhz, voltageMv, durationS, outcome: "pass", loadTempC: 60 }));
    found = ask(rows, { voltagesMv });
    expect(unrunOf(found)).toBeLessThan(left);
    left = unrunOf(found);
  }
  expect(left).toBe(0);
  expect(settled(found).proof).toBeNull();
});

it("plans over the voltages until all of them are known, not the first", () => {
  const rows: EvidenceRow[] = [];
  searched(rows, 2);
  const { plan, planEndsSearch } = ask(rows, { voltagesMv, minutes: 600 }) as Proposal;
  expect(plan).toHaveLength(6);
  expect(planEndsSearch).toBe(false);
});
