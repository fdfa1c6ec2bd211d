import { describe, expect, it } from "vitest";
import type { NextAnswer, NextQuestion } from "../../../server/bench/next/nextAttempt.ts";
import { chanceInWords } from "../../../server/bench/next/nextWords.ts";
import type { EvidenceRow } from "../../../server/bench/things/evidenceRow.ts";
import { ask, narrowed, proposed, settled } from "../../support/askNext.ts";
import { evidenceRow, testChip, testWorkload } from "../../support/evidenceRows.ts";

describe("nextAttemptOf at one voltage", () => {
  it("starts an empty build from the stock values, at most eight clock steps up", () => {
    const next = proposed(ask([]));
    expect(next.voltageMv).toBe(1250);
    expect(next.clockMhz).toBeLessThanOrEqual(4800);
    expect(next.clockMhz).toBeGreaterThan(4600);
    expect(next.expectedTempC).toBeNull();
    expect(next.purpose).toBe("screen");
    expect(next.because).toContain("Nothing has been tried");
  });

  it("stays on the clock grid, between nothing and certainty, with minutes that hold the run", () => {
    const next = proposed(ask([evidenceRow({ clockMhz: 4900, loadTempC: 70 })]));
    expect((next.clockMhz - 4600) % 25).toBe(0);
    expect(next.chanceOfPass).toBeGreaterThan(0);
    expect(next.chanceOfPass).toBeLessThan(1);
    expect(next.expectedMinutes).toBeGreaterThan(2);
    expect(next.expectedMinutes).toBeLessThanOrEqual(2 + next.durationS / 60 + 6);
    expect(next.expectedTempC?.mid).toBeGreaterThan(65);
    expect(next.clockMhz).toBeLessThanOrEqual(4900 + 8 * 25);
  });

  it("settles between a proven clock and crashes close above it, and offers an hour as proof unless there was one", () => {
    const answer = settled(ask(narrowed));
    expect(answer.settled).toMatchObject({ clockMhz: expect.any(Number) });
    const { clockMhz, chance } = answer.settled as { clockMhz: number; chance: number };
    expect(clockMhz).toBeGreaterThanOrEqual(5075);
    expect(clockMhz).toBeLessThanOrEqual(5125);
    expect(chance).toBeGreaterThanOrEqual(0.95);
    expect(answer).toMatchObject({ blocked: [expect.stringContaining("5150 MHz at 1.250 V: froze")] });
    expect(answer.proof).toBeNull();
    const shorter = narrowed.map((row) => ({ ...row, durationS: Math.min(row.durationS, 3000) }));
    const unproved = ask([...shorter, ...shorter]);
    if ("settled" in unproved) expect(unproved.proof).toMatchObject({ durationS: 3600, purpose: "prove" });
  });

  it("never goes above the ceiling, nor more than two voltage steps beyond what was tried, and says so", () => {
    const beyond = proposed(ask([], { voltageMv: 1500 }));
    expect(beyond.voltageMv).toBe(1275);
    expect(beyond.blocked.join()).toContain("two voltage steps beyond 1.250 V");
    const tried = [evidenceRow({ voltageMv: 1450 })];
    const ceiling = proposed(ask(tried, { voltageMv: 1500 }));
    expect(ceiling.voltageMv).toBe(1450);
    expect(ceiling.blocked.join()).toContain("ceiling of 1.450 V");
    const none = ask([], { voltageMv: 1500, chip: testChip({ voltageCeilingMv: null }) });
    expect(proposed(none).voltageMv).toBe(1250);
  });

  it("leaves voltages below what was tried free", () => {
    expect(proposed(ask([evidenceRow()], { voltageMv: 1100 })).voltageMv).toBe(1100);
  });

  it("proposes nothing as hard as a failure, and says so, until the same outlived it", () => {
    const crash = evidenceRow({ clockMhz: 4800, durationS: 240, outcome: "freeze", loadTempC: 70 });
    const next = proposed(ask([evidenceRow({ loadTempC: 68 }), crash]));
    expect(next.clockMhz).toBeLessThan(4800);
    expect(next.blocked.join()).toContain(
      "4800 MHz at 1.250 V: froze after 4 min. Nothing as hard is proposed",
    );
    const outlived = [crash, evidenceRow({ clockMhz: 4850, durationS: 3600, loadTempC: 71 })];
    expect(proposed(ask([evidenceRow({ loadTempC: 68 }), ...outlived])).clockMhz).toBeGreaterThan(4800);
  });

  it("proposes nothing as hard as what failed at idle, whatever the load", () => {
    const idle = testWorkload("idle", { kind: "idle" });
    const crash = evidenceRow({ clockMhz: 4700, durationS: 7200, outcome: "freeze", workloadId: "idle" });
    const rows = [evidenceRow({ loadTempC: 68 }), crash];
    const next = proposed(ask(rows, { workloads: [testWorkload("all-core"), idle] }));
    expect(next.clockMhz).toBeLessThan(4700);
    const passed = [evidenceRow({ loadTempC: 68 }), { ...crash, outcome: "pass" as const }];
    expect(proposed(ask(passed, { workloads: [testWorkload("all-core"), idle] })).clockMhz).toBeGreaterThan(
      4700,
    );
  });

  it("goes no further than a failure that nothing bears out, until the same has passed for ten minutes", () => {
    const long = [14_400, 28_800].map((durationS) =>
      evidenceRow({ clockMhz: 4600, durationS, loadTempC: 70 }),
    );
    const odd = evidenceRow({ clockMhz: 4625, durationS: 900, outcome: "freeze", loadTempC: 70 });
    const before = proposed(ask(long));
    expect(before.clockMhz).toBeGreaterThan(4625);
    const next = proposed(ask([...long, odd]));
    expect(next.clockMhz).toBeLessThanOrEqual(4625);
    expect(next.blocked.join()).toContain(
      "4625 MHz at 1.250 V: froze after 15 min, which nothing else bears out. Nothing harder is proposed until the same",
    );
    const short = evidenceRow({ clockMhz: 4625, durationS: 300, loadTempC: 70 });
    expect(proposed(ask([...long, odd, short])).clockMhz).toBeLessThanOrEqual(4625);
    const again = evidenceRow({ clockMhz: 4625, durationS: 1200, loadTempC: 70 });
    expect(proposed(ask([...long, odd, again])).clockMhz).toBeGreaterThan(4625);
  });

  it("runs a failure once more as it was where that is asked, and once only", () => {
    const crash = evidenceRow({
      id: "odd",
      clockMhz: 5000,
      durationS: 300,
      outcome: "freeze",
      loadTempC: 75,
    });
    const rows = [evidenceRow({ clockMhz: 5100, loadTempC: 76 }), crash];
    const again = proposed(ask(rows, { again: "odd" }));
    expect(again).toMatchObject({ clockMhz: 5000, voltageMv: 1250, purpose: "resolve" });
    expect(again.durationS).toBeGreaterThan(300);
    const repeated = [...rows, evidenceRow({ clockMhz: 5000, durationS: 100, outcome: "freeze" })];
    const next = ask(repeated, { again: "odd" });
    expect("blocked" in next && next.blocked.join()).toContain("was run again already");
  });

  it("makes no run longer than ten minutes that passes fewer than three times in ten", () => {
    const rows: EvidenceRow[] = [];
    for (const clockMhz of [4700, 4900, 5000, 5050]) {
      rows.push(evidenceRow({ clockMhz, durationS: 300, loadTempC: 70 }));
      const next = proposed(ask(rows));
      expect(next.durationS <= 600 || next.chanceOfPass >= 0.3).toBe(true);
    }
  });

  it("resolves between a pass and a crash only: what was broken off is neither", () => {
    const pass = evidenceRow({ loadTempC: 70 });
    const onceIt = (outcome: EvidenceRow["outcome"]) =>
      proposed(ask([pass, evidenceRow({ clockMhz: 4900, outcome, durationS: 200, loadTempC: 71 })]));
    expect(onceIt("freeze").purpose).toBe("resolve");
    expect(onceIt("stopped").purpose).toBe("screen");
    expect(onceIt("stopped").because).toContain("The limit has not shown itself yet");
  });

  it("asks for ten minutes at the answer before it is settled on", () => {
    const short = narrowed.map((row) => ({ ...row, durationS: Math.min(row.durationS, 590) }));
    const next = ask([...short, ...short, ...short]);
    expect(proposed(next)).toMatchObject({ purpose: "prove", durationS: 600 });
    expect(next.because).toContain("ten minutes there make it the answer");
  });

  it("asks for them before a map is settled on too, at its highest answer", () => {
    const short = narrowed.map((row) => ({ ...row, durationS: Math.min(row.durationS, 590) }));
    const rows = [...short, ...short, ...short];
    const next = proposed(ask(rows, { voltageMv: null }));
    expect(next).toMatchObject({ purpose: "prove", durationS: 600, voltageMv: 1250 });
    const ran = evidenceRow({ clockMhz: next.clockMhz, durationS: 600, loadTempC: 76 });
    expect("settled" in ask([...rows, ran], { voltageMv: null })).toBe(true);
    expect("settled" in ask(rows, { voltageMv: null, passedOver: [next] })).toBe(true);
  });

  it("proposes something else where the tester passes over it", () => {
    const first = proposed(ask([]));
    const second = proposed(ask([], { passedOver: [first] }));
    expect(second.clockMhz).not.toBe(first.clockMhz);
  });

  it("plans a sequence within the minutes there are, each as if those before had passed", () => {
    const { plan } = proposed(ask([], { minutes: 40 }));
    expect(plan!.length).toBeGreaterThan(1);
    const spent = plan!.reduce((sum, { durationS }) => sum + 2 + durationS / 60, 0);
    expect(spent).toBeLessThanOrEqual(40);
    expect(plan![1]!.clockMhz).toBeGreaterThan(plan![0]!.clockMhz);
  });

  it("ends a plan where the search would be over, whatever time is left", () => {
    const begun = [
      evidenceRow({ clockMhz: 4900, durationS: 900, loadTempC: 75 }),
      evidenceRow({ clockMhz: 5100, durationS: 60, outcome: "freeze" }),
    ];
    for (const differing of [{}, { voltageMv: null, voltagesMv: [1250] }]) {
      const { plan, planEndsSearch } = proposed(ask(begun, { ...differing, minutes: 600 }));
      expect(plan!.length).toBeGreaterThan(0);
      expect(plan!.length).toBeLessThan(6);
      expect(planEndsSearch).toBe(true);
      expect(proposed(ask(begun, { ...differing, minutes: 15 })).planEndsSearch).toBe(false);
    }
  });

  it("ends it with the hour that proves the answer, where that fits and is not on record", () => {
    const begun = [
      evidenceRow({ clockMhz: 4900, durationS: 900, loadTempC: 75 }),
      evidenceRow({ clockMhz: 5100, durationS: 60, outcome: "freeze" }),
    ];
    const planned = (minutes: number, rows = begun) => proposed(ask(rows, { minutes })).plan!;
    const last = planned(600).at(-1)!;
    expect(last).toMatchObject({ durationS: 3600, voltageMv: 1250 });
    expect(last.chanceOfPass).toBeGreaterThan(0.93);
    const before = planned(600).slice(0, -1);
    expect(before.some(({ durationS, clockMhz }) => durationS === 3600 && clockMhz >= last.clockMhz)).toBe(
      false,
    );
    const takes = before.reduce((sum, { durationS }) => sum + 2 + durationS / 60, 0);
    expect(planned(takes + 61)).toEqual(before);
    expect(planned(takes + 62)).toHaveLength(before.length + 1);
    const proved = evidenceRow({ clockMhz: last.clockMhz, durationS: 3600, loadTempC: 75 });
    const after = ask([...begun, proved], { minutes: 600 });
    if ("durationS" in after) expect(after.plan!.at(-1)!.clockMhz).toBeGreaterThan(last.clockMhz);
  });

  it("warns where the stock setting itself crashed", () => {
    const rows = [evidenceRow({ outcome: "freeze", durationS: 600 })];
    expect(proposed(ask(rows)).blocked.join()).toContain("fault elsewhere");
  });

  it("repeats itself for the same record and seed", () => {
    expect(ask(narrowed.slice(0, 4))).toEqual(ask(narrowed.slice(0, 4)));
  });
});

describe("nextAttemptOf at one clock", () => {
  it("looks for the lowest voltage on the voltage grid, downward without steps", () => {
    const rows = [evidenceRow({ clockMhz: 4700, loadTempC: 72, durationS: 3600 })];
    const next = proposed(ask(rows, { clockMhz: 4700 }));
    expect(next.clockMhz).toBe(4700);
    expect(next.voltageMv).toBeLessThan(1250);
    expect(((1250 - next.voltageMv) / 12.5) % 1).toBeCloseTo(0, 9);
  });

  it("settles on a voltage, and proves it under the load that switches on and off", () => {
    const rows = [
      evidenceRow({ clockMhz: 4700, voltageMv: 1200, durationS: 7200, loadTempC: 70 }),
      evidenceRow({ clockMhz: 4700, voltageMv: 1187.5, durationS: 7200, loadTempC: 69 }),
      evidenceRow({ clockMhz: 4700, voltageMv: 1175, durationS: 400, outcome: "freeze" }),
      evidenceRow({ clockMhz: 4700, voltageMv: 1162.5, durationS: 30, outcome: "freeze" }),
      evidenceRow({ clockMhz: 4700, voltageMv: 1175, durationS: 240, outcome: "freeze" }),
    ];
    const workloads = [testWorkload("all-core"), testWorkload("on and off", { kind: "transition" })];
    const answer = settled(ask(rows, { clockMhz: 4700, workloads }));
    expect(answer.settled).toHaveProperty("voltageMv");
    expect((answer.settled as { voltageMv: number }).voltageMv).toBeGreaterThanOrEqual(1187.5);
    const [, next] = /next step down passes an hour (\d+) in 100 times; 95 are/.exec(answer.because) ?? [];
    expect(Number(next)).toBeGreaterThan(50);
    expect(Number(next)).toBeLessThan(95);
    expect(answer.proof).toMatchObject({ workloadId: "on and off", durationS: 3600 });
  });

  it("does not jump to a clock more than eight steps beyond the record", () => {
    const next = ask([], { clockMhz: 6000 });
    expect("clockMhz" in next && next.clockMhz).toBe(4800);
  });
});

describe("nextAttemptOf over voltages", () => {
  it("maps the voltages asked, else those tried, reaching further up step by step", () => {
    const next = proposed(ask([], { voltagesMv: [1150, 1250, 1400] }));
    expect([1150, 1250, 1275]).toContain(next.voltageMv);
    expect(next.purpose).toBe("map");
    const tried = [evidenceRow({ voltageMv: 1200 }), evidenceRow({ voltageMv: 1300 })];
    const again = proposed(ask(tried, { voltageMv: null }));
    expect([1200, 1300]).toContain(again.voltageMv);
  });
});

describe("nextAttemptOf with little to go on", () => {
  it("says what it needs where neither stock values nor attempts are there", () => {
    const bare = testChip({ stockClockMhz: null, stockVoltageMv: null });
    expect(ask([], { chip: bare })).toMatchObject({ state: "too-little", needs: expect.any(String) });
  });

  it("goes on from a record without stock values", () => {
    const bare = testChip({ stockClockMhz: null, stockVoltageMv: null });
    const next = proposed(ask([evidenceRow({ clockMhz: 4700 })], { chip: bare }));
    expect(next.clockMhz % 25).toBe(0);
    expect(next.clockMhz).toBeLessThanOrEqual(4900);
  });

  it("starts from what another build of the chip taught", () => {
    const otherBuilds = [{ name: "Wren", rows: narrowed }];
    const next = proposed(ask([], { otherBuilds }));
    expect(next.clockMhz).toBe(4800);
    expect(next.chanceOfPass).toBeGreaterThan(proposed(ask([])).chanceOfPass);
  });
});

describe("one proposal", () => {
  it("tells the same chance and the same minutes in its words, its figures and the first line of its plan", () => {
    const climbs = [3, 4, 5, 6].map((count) => narrowed.slice(0, count));
    const asked = [{ voltageMv: 1250 }, { voltagesMv: [1200, 1250, 1300], voltageMv: null }];
    for (const rows of climbs)
      for (const about of asked) {
        const next = ask(rows, { ...about, minutes: 90 });
        if (!("durationS" in next)) continue;
        const { because, chanceOfPass, durationS, expectedMinutes, clockMhz, voltageMv } = next;
        expect(because).toContain(`passes ${chanceInWords(chanceOfPass)} times`);
        expect(because).toContain(`for ${durationS === 3600 ? "an hour" : `${durationS / 60} minutes`}`);
        expect(next.plan?.[0]).toEqual({ clockMhz, voltageMv, durationS, expectedMinutes, chanceOfPass });
      }
  });
});

describe("nextAttemptOf where a switching load fails first", () => {
  const steady = [
    evidenceRow({ clockMhz: 4700, voltageMv: 1200, durationS: 7200, loadTempC: 70 }),
    evidenceRow({ clockMhz: 4700, voltageMv: 1187.5, durationS: 7200, loadTempC: 69 }),
    evidenceRow({ clockMhz: 4700, voltageMv: 1175, durationS: 400, outcome: "freeze" }),
    evidenceRow({ clockMhz: 4700, voltageMv: 1162.5, durationS: 30, outcome: "freeze" }),
    evidenceRow({ clockMhz: 4700, voltageMv: 1175, durationS: 240, outcome: "freeze" }),
  ];
  const switching = (voltageMv: number, outcome: EvidenceRow["outcome"], durationS: number) =>
    evidenceRow({ clockMhz: 4700, voltageMv, workloadId: "on and off", outcome, durationS, loadTempC: 60 });
  const crashes = [
    switching(1200, "freeze", 400),
    switching(1200, "freeze", 240),
    switching(1187.5, "freeze", 40),
  ];
  const workloads = [testWorkload("all-core"), testWorkload("on and off", { kind: "transition" })];
  const lowest = (rows: readonly EvidenceRow[], differing: Partial<NextQuestion> = {}): NextAnswer =>
    ask(rows, { clockMhz: 4700, workloads, ...differing });
  const settledMv = (answer: NextAnswer): number =>
    (settled(answer).settled as { voltageMv: number }).voltageMv;

  it("looks on under that load once it crashed where the steady one holds, and says so", () => {
    const next = proposed(lowest([...steady, ...crashes.slice(2)]));
    expect(next.workloadId).toBe("on and off");
    expect(next.because).toContain("Run it under on and off");
  });

  it("settles no lower than what the switching load holds, and counts its hour as the proof", () => {
    const passes = [1212.5, 1212.5, 1225].map((voltageMv) => switching(voltageMv, "pass", 7200));
    const answer = lowest([...steady, ...crashes, ...passes]);
    expect(settledMv(answer)).toBeGreaterThanOrEqual(1212.5);
    expect(settled(answer).proof).toBeNull();
  });

  it("stays with the steady load where the switching one holds as well, or where a load is asked for", () => {
    const holds = lowest([...steady.slice(0, 2), switching(1187.5, "pass", 3600)]);
    expect(proposed(holds)).toMatchObject({ workloadId: "all-core" });
    expect(proposed(holds).because).not.toContain("Run it under");
    const asked = lowest([...steady.slice(0, 3), ...crashes], { workloadId: "all-core" });
    const askedMv = "settled" in asked ? settledMv(asked) : proposed(asked).voltageMv;
    expect(askedMv).toBeLessThanOrEqual(1200);
  });

  it("looks on under the one of two that fails more surely, whichever was written down first", () => {
    const other = testWorkload("in bursts", { kind: "transition" });
    const once = { ...switching(1187.5, "freeze", 40), workloadId: "in bursts" };
    for (const loads of [
      [...workloads, other],
      [workloads[0]!, other, workloads[1]!],
    ])
      expect(proposed(lowest([...steady, ...crashes, once], { workloads: loads })).workloadId).toBe(
        "on and off",
      );
  });

  it("stays with the steady load where one of another kind fails first", () => {
    const memory = [workloads[0]!, testWorkload("on and off", { kind: "memory" })];
    expect(settledMv(lowest([...steady, ...crashes.slice(2)], { workloads: memory }))).toBeLessThanOrEqual(
      1200,
    );
  });

  it("says what a proof lacks where no load that switches is written down", () => {
    const short = [...steady, ...steady].map((row) => ({ ...row, durationS: Math.min(row.durationS, 3500) }));
    const { proof } = settled(lowest(short, { workloads: workloads.slice(0, 1) }));
    expect(proof?.because).toContain("no such load is written down");
    expect(settled(lowest(short)).proof?.because).toContain("An hour of on and off");
    const memory = settled(lowest(short, { chip: testChip({ kind: "memory" }) }));
    expect(memory.proof?.because).toMatch(/^An hour at 4700 MHz and 1\.\d+ V proves the answer\.$/);
  });
});
