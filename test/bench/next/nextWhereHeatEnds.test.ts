import { describe, expect, it } from "vitest";
import type { MappedLimit } from "../../../server/bench/next/nextAnswer.ts";
import type { NextAnswer } from "../../../server/bench/next/nextAttempt.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { ask, proposed, settled } from "../../support/askNext.ts";
import { evidenceRow } from "../../support/evidenceRows.ts";

describe("where heat ends the clock before the limit does", () => {
  const risesBy = (clockMhz: number) => (56 * clockMhz) / 4600;
  const warm = (clockMhz: number, differing: Partial<EvidenceRow> = {}) =>
    evidenceRow({ clockMhz, loadTempC: Math.round(23 + risesBy(clockMhz)), ...differing });
  /** Of 100 °C, the warning margin of 10 kept, in the hottest room of 30. */
  const warmestMhz = (60 / 56) * 4600;

  it("proposes nothing that would run within the warning margin, ends at the last step outside it, and says why", () => {
    const rows = [warm(4500), warm(4600)];
    let next = ask(rows);
    for (let turn = 0; "durationS" in next && turn < 20; turn++) {
      expect(next.clockMhz).toBeLessThan(warmestMhz);
      rows.push(warm(next.clockMhz, { durationS: next.durationS }));
      next = ask(rows);
    }
    const { clockMhz } = settled(next).settled as { clockMhz: number };
    expect(clockMhz).toBeLessThan(warmestMhz);
    expect(clockMhz).toBeGreaterThan(4600);
    expect(settled(next).blocked.join()).toMatch(
      /MHz at 1\.250 V is not proposed\. .* too near the limit of 100 °C/,
    );
    expect(settled(next).nearer).toBeNull();
    expect(proposed(ask([evidenceRow({ loadTempC: 70 })])).blocked).toEqual([]);
  });

  describe("at a voltage where it leaves far less than the stock clock", () => {
    const tempC = ({ clockMhz, voltageMv }: Pick<EvidenceRow, "clockMhz" | "voltageMv">, roomC: number) =>
      roomC + 57 * (voltageMv / 1250) ** 2.2 * (clockMhz / 4600);
    const passed = (clockMhz: number, voltageMv = 1250) =>
      evidenceRow({ clockMhz, voltageMv, loadTempC: Math.round(tempC({ clockMhz, voltageMv }, 23)) });
    const tried = [passed(4600), passed(4700), passed(4000, 1350)];

    it("goes on at the lower one that gives most, at no less than stock, and says why", () => {
      const next = proposed(ask(tried, { voltageMv: 1375 }));
      expect(next.voltageMv).toBeLessThan(1300);
      expect(next.voltageMv).toBeGreaterThan(1150);
      expect(next.clockMhz).toBeGreaterThanOrEqual(4600);
      expect(tempC(next, 30)).toBeLessThan(91);
      expect(next.blocked.join()).toMatch(
        /Heat rules 1\.375 V out: nothing above [34][0-9]\d\d MHz can be the answer there, and 1\.\d+ V likely gives more\./,
      );
    });

    it("stays at the lower one it was at last, as long as that gives nearly as much", () => {
      const { voltageMv } = proposed(ask(tried, { voltageMv: 1375 }));
      const beside = voltageMv - 25;
      const next = proposed(ask([...tried, passed(4600, beside)], { voltageMv: 1375 }));
      expect(next.voltageMv).toBe(beside);
      expect(next.blocked.join()).toContain("Heat rules 1.375 V out");
      const far = proposed(ask([...tried, passed(4300, 1000)], { voltageMv: 1375 }));
      expect(far.voltageMv).toBeGreaterThan(1000);
    });

    it("stays where it is asked as long as heat leaves nearly the stock clock, or more than the chip does", () => {
      for (const lessC of [6, 12]) {
        const cooler = tried.map((row) => ({ ...row, loadTempC: row.loadTempC! - lessC }));
        expect(JSON.stringify(ask(cooler, { voltageMv: 1375 }))).not.toContain("Heat rules");
      }
      const at = { voltageMv: 1375, loadTempC: 73 };
      const crash = evidenceRow({ clockMhz: 3750, ...at, durationS: 60, outcome: "freeze" });
      const weak = [evidenceRow({ clockMhz: 3600, ...at, durationS: 3600 }), crash, crash, crash];
      const next = ask(weak, { voltageMv: 1375 });
      expect("durationS" in next && next.voltageMv).toBe(1375);
    });

    it("stays where no lower voltage gives more", () => {
      const hot = evidenceRow({ clockMhz: 4600, loadTempC: 99 });
      const next = ask([hot], { voltageMv: 1250, hottestAmbientC: 85 });
      expect("state" in next && next.because).toContain("passed over or may not be proposed");
    });
  });

  it("counts the voltage that daily use adds", () => {
    const rows = [warm(4500), warm(4600), warm(4700), warm(4800)];
    const endFor = (use: "benchmark" | "daily"): number => {
      const next = ask(rows, { use });
      return "durationS" in next ? next.clockMhz : (settled(next).settled as { clockMhz: number }).clockMhz;
    };
    expect(endFor("daily")).toBeLessThan(endFor("benchmark"));
  });

  it("proposes nothing as hot as what heat ended", () => {
    const ended = evidenceRow({ clockMhz: 4700, outcome: "too-hot", durationS: 300, loadTempC: 70 });
    const next = ask([evidenceRow({ loadTempC: 68 }), ended]);
    if ("durationS" in next) expect(next.clockMhz).toBeLessThan(4700);
    expect("blocked" in next && next.blocked.join()).toContain("Heat ended 4700 MHz at 1.250 V");
  });

  it("maps no voltage within the warning margin, and ends", () => {
    const limitMhz = (voltageMv: number) => 4900 + 2 * (voltageMv - 1250);
    const tempC = ({ clockMhz, voltageMv }: Pick<EvidenceRow, "clockMhz" | "voltageMv">, roomC: number) =>
      roomC + 50 * (voltageMv / 1250) ** 2.2 * (clockMhz / 4600);
    const rows: EvidenceRow[] = [];
    let next: NextAnswer = ask(rows, { voltagesMv: [1250, 1350] });
    for (let turn = 0; "durationS" in next && turn < 40; turn++) {
      const { clockMhz, voltageMv, durationS } = next;
      if (rows.length > 2) expect(tempC(next, 30)).toBeLessThan(91);
      const passes = clockMhz <= limitMhz(voltageMv);
      const loadTempC = Math.round(tempC(next, 23));
      rows.push(
        evidenceRow({
          clockMhz,
          voltageMv,
          loadTempC,
          durationS: passes ? durationS : durationS / 2,
          outcome: passes ? "pass" : "freeze",
        }),
      );
      next = ask(rows, { voltagesMv: [1250, 1350] });
    }
    const { map } = settled(next).settled as { map: readonly MappedLimit[] };
    expect(map.find(({ voltageMv }) => voltageMv === 1350)!.known).toBe(true);
    expect(next.because).toContain("At 1.350 V heat sets the limit before the clock does.");
    for (const { voltageMv, answer } of map)
      expect(tempC({ clockMhz: answer!.clockMhz, voltageMv }, 30)).toBeLessThan(90);
  });
});
