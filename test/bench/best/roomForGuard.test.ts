import { describe, expect, it } from "vitest";
import { type BestQuestion, bestSettingOf } from "../../../server/bench/best/bestSetting.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { ask, narrowed, proposed } from "../../support/askNext.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

const upTo = (voltageCeilingMv: number | null) => testChip({ voltageCeilingMv, stockVoltageMv: 1150 });
const daily = (rows: readonly EvidenceRow[], chip = upTo(null)) => ask(rows, { chip, use: "daily" });
const best = (rows: readonly EvidenceRow[], differing: Partial<BestQuestion> = {}) =>
  bestSettingOf({
    ...{ chip: upTo(null), hottestAmbientC: 30, rows, workloads: [testWorkload("all-core")], seed: 1 },
    ...{ goal: "clock", use: "daily", ...differing },
  });

describe("the guard that daily use adds, at the highest voltage there may be", () => {
  it("is made room for: the search goes a step lower, says why, and the answer has the guard in it", () => {
    const rows = [...narrowed];
    let next = daily(rows);
    const [first] = [proposed(next)];
    expect(first.voltageMv).toBe(1237.5);
    expect(first.blocked).toContain(
      "Daily use adds a guard of 12.5 mV to what holds. 1.250 V is the highest tried or stock, and no ceiling is entered: 1.2375 V is looked at.",
    );
    for (let turn = 0; "durationS" in next && turn < 20; turn += 1) {
      const { clockMhz, voltageMv, durationS } = next;
      expect(voltageMv).toBe(1237.5);
      expect(best(rows).state).toBe("looking");
      const passes = clockMhz <= 5075;
      const run = { clockMhz, voltageMv, loadTempC: 75 };
      rows.push(evidenceRow({ ...run, ...(passes ? { durationS } : { durationS: 60, outcome: "freeze" }) }));
      next = daily(rows);
    }
    expect("settled" in next && next.settled).toMatchObject({ clockMhz: best(rows).setting?.clockMhz });
    expect(best(rows)).toMatchObject({ state: "done", setting: { voltageMv: 1250, guarded: true } });
  });

  it("fits below a ceiling, and where it fits nothing is said of it", () => {
    expect(proposed(daily(narrowed, upTo(1255))).voltageMv).toBe(1242.5);
    expect(proposed(daily(narrowed, upTo(1255))).blocked.join()).toContain("1.255 V is the chip's ceiling");
    expect(JSON.stringify(daily(narrowed, upTo(1262.5)))).not.toContain("guard");
    expect(JSON.stringify(ask(narrowed, { chip: upTo(null), use: "unattended" }))).not.toContain("guard of");
  });

  it("is made room for on a map and in the lowest voltage for a clock", () => {
    const asked = { chip: upTo(null), use: "daily" as const };
    const map = ask([evidenceRow({ loadTempC: 60 })], { ...asked, voltagesMv: [1245, 1250, 1200] });
    expect(proposed(map).voltageMv).toBeLessThanOrEqual(1237.5);
    expect(proposed(map).blocked.filter((note) => note.includes("a guard of"))).toHaveLength(1);
    const failed = evidenceRow({ clockMhz: 5100, voltageMv: 1237.5, durationS: 60, outcome: "freeze" });
    const lowest = ask([...narrowed, failed, failed], { ...asked, clockMhz: 5100 });
    expect("because" in lowest && lowest.because).toContain("passed over or may not be proposed");
  });

  it("is the reason told where it has no room, of each setting that would be good enough", () => {
    const { setting, because, passedOver, highestSeen } = best(narrowed);
    expect(setting).toBeNull();
    expect(because.join()).toContain("leaves room for the guard in its voltage");
    const told = passedOver.map((one) => one.because);
    expect(told).toContain(
      "1.2625 V, the guard in it, is above 1.250 V, the highest voltage tried or stock, and no ceiling is entered for the chip.",
    );
    expect(told.join()).not.toContain("good enough too");
    expect(highestSeen).toMatchObject({ clockMhz: 5125 });
    expect(
      best(narrowed, { chip: upTo(1255) })
        .passedOver.map((one) => one.because)
        .join(),
    ).toContain("1.2625 V, the guard in it, is above the chip's ceiling of 1.255 V.");
  });
});

it("tells of a build that ran too hot that the search goes on at a lower voltage", () => {
  const hot = [4000, 4100, 4200].map((clockMhz) => evidenceRow({ clockMhz, loadTempC: clockMhz / 42 }));
  const { state, setting, passedOver } = best(hot, { use: "benchmark", chip: testChip({ tempLimitC: 95 }) });
  expect(state).toBe("looking");
  expect(setting?.clockMhz).toBeLessThan(4000);
  expect(passedOver.map(({ because }) => because).join()).not.toContain("good enough too");
});
