import { describe, expect, it } from "vitest";
import type { AdviceQuestion } from "../../server/answers/advice.ts";
import { fittedAdvice } from "../../server/answers/benchAdvice.ts";
import { plainBenchAdvice } from "../../server/answers/plainAdvice.ts";
import type { ProposalTold } from "../../server/answers/proposal.ts";
import type { Reckonings } from "../../server/answers/reckoned.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { smallWorld, testServer } from "../support/bench.ts";
import { cardWorld } from "../support/settingWorlds.ts";

/** Reckons at once, in this thread. */
const atOnce: Reckonings = {
  now: async <Answer>(kind: string, _: string, request: () => unknown) =>
    fitAnswerOf(kind as FitKind, request() as FitQuestions[FitKind]) as Answer,
  latest: () => null,
  inTurn: () => null,
  hasFailed: () => false,
};

const adviceFor =
  (journal: Journal, buildId: string) =>
  (asked: Partial<AdviceQuestion> = {}) =>
    fittedAdvice(journal, atOnce, {
      buildId,
      aim: "clock",
      voltageMv: 1200,
      clockMhz: null,
      minutes: null,
      passedOver: [],
      pooled: true,
      again: null,
      voltagesMv: [],
      workloadId: null,
      until: null,
      knob: null,
      ...asked,
    });

/** A build whose limit at 1.200 V is known to a step by passes too short to be its proof. */
async function settledBuild() {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  for (const [clockMhz, outcome, durationS] of [
    [4600, "pass", 3500],
    [4600, "pass", 3500],
    [4625, "pass", 3500],
    [4625, "pass", 3500],
    [4625, "pass", 3500],
    [4650, "freeze", 400],
    [4650, "freeze", 500],
    [4650, "freeze", 600],
    [4675, "freeze", 40],
    [4675, "freeze", 50],
    [4700, "freeze", 5],
  ] as const)
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS, loadTempC: 65, ambientC: 22 },
    });
  return { server, cupboard, heavy, advice: adviceFor(server.journal, cupboard) };
}

describe("fittedAdvice", () => {
  it("offers an hour's proof of what is settled, and says so", async () => {
    const { advice } = await settledBuild();
    const { proposal, settled, blocked } = await advice();
    expect(proposal).toMatchObject({ purpose: "prove", durationS: 3600 });
    expect(settled).toContain("passes an hour");
    expect(blocked.join()).toContain("4650 MHz at 1.200 V: froze after");
  });

  it("says where what is left takes longer than there is time", async () => {
    const { advice } = await settledBuild();
    const told = await advice({ minutes: 30 });
    expect(told.proposal).toMatchObject({ durationS: 3600 });
    expect(told.blocked.join()).toContain("longer than the 30 minutes there are");
    expect((await advice({ minutes: 90 })).blocked.join()).not.toContain("minutes there are");
  });

  it("proposes something else where the proof is passed over", async () => {
    const { advice } = await settledBuild();
    const { proposal } = await advice();
    if ("missing" in proposal) throw new Error("nothing proposed");
    const other = (await advice({ passedOver: [proposal] })).proposal;
    expect(other).toMatchObject({ clockMhz: expect.any(Number) });
    expect(other).not.toMatchObject({ clockMhz: proposal.clockMhz, voltageMv: proposal.voltageMv });
  });

  it("goes on at the voltage of the answer where the one tried last is settled and no other was asked for", async () => {
    const { advice, server, cupboard } = await settledBuild();
    const { items } = (await server.send("GET", "/api/workloads?limit=50")).body;
    const workloadId = items.find(({ name }: { name: string }) => name === "Stacking").id;
    const startedAt = (minute: number) => `2031-05-0${minute < 30 ? 2 : 4}T09:${10 + (minute % 30)}:00Z`;
    for (const [minute, clockMhz, voltageMv, durationS] of [
      [1, 4700, 1250, 900],
      [31, 4600, 1200, 3600],
    ] as const)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId, clockMhz, voltageMv, outcome: "pass", durationS, startedAt: startedAt(minute) },
        ...{ loadTempC: 66, ambientC: 22 },
      });
    const best = (await server.send("GET", `/api/builds/${cupboard}/best`)).body;
    expect(best).toMatchObject({ state: "looking", setting: { voltageMv: 1250 } });
    const { proposal, settled } = await advice({ voltageMv: null });
    expect(proposal).toMatchObject({ voltageMv: 1250 });
    expect(settled).toContain("at 1.200 V passes an hour");
  });

  it("proves the answer itself, and offers to leave that running, where another voltage was tried last", async () => {
    const { advice, server, cupboard } = await settledBuild();
    const { items } = (await server.send("GET", "/api/workloads?limit=50")).body;
    const workloadId = items.find(({ name }: { name: string }) => name === "Stacking").id;
    server.clock.pass(86_400);
    for (const [minute, clockMhz, outcome, durationS] of [
      [0, 4375, "pass", 3000],
      [1, 4375, "pass", 3000],
      [2, 4425, "freeze", 60],
      [3, 4400, "freeze", 600],
    ] as const)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId, clockMhz, voltageMv: 1150, outcome, durationS },
        ...{ startedAt: `2031-05-05T0${minute}:10:00Z`, loadTempC: 62, ambientC: 22 },
      });
    const { state, setting } = (await server.send("GET", `/api/builds/${cupboard}/best`)).body;
    expect([state, setting.voltageMv]).toEqual(["done", 1200]);
    const { proposal, settled, leaveRunning } = await advice({ voltageMv: null });
    expect(settled).toContain(`${setting.clockMhz} MHz at 1.200 V passes an hour`);
    expect(proposal).toMatchObject({ clockMhz: setting.clockMhz, voltageMv: 1200, durationS: 3600 });
    expect(leaveRunning?.voltageMv ?? 1200).toBe(1200);
  });

  it("leaves the most telling of what ran to run for eight hours, unless that was passed over", async () => {
    const { advice } = await settledBuild();
    const found = (await advice()).leaveRunning;
    expect(found).toMatchObject({ clockMhz: 4625, voltageMv: 1200, durationS: 8 * 3600 });
    expect((await advice({ passedOver: [{ clockMhz: 4600, voltageMv: 1200 }] })).leaveRunning).toEqual(found);
    expect((await advice({ passedOver: [{ clockMhz: 4625, voltageMv: 1200 }] })).leaveRunning).toBeNull();
  });

  it("stays at the clock asked for when it looks for low voltages", async () => {
    const { advice } = await settledBuild();
    expect((await advice({ aim: "voltage", clockMhz: 4500, voltageMv: null })).proposal).toMatchObject({
      clockMhz: 4500,
    });
  });

  it("goes on with a map where its own answers did not run, and where there is more to find, not with the hour that passed", async () => {
    const { server, cupboard, heavy, advice } = await settledBuild();
    const hours: string[] = [];
    const lacked: unknown[] = [];
    const voltagesMv = [1150, 1200, 1250];
    for (let runs = 0; runs < 12; runs++) {
      const { proposal, settled } = await advice({ aim: "map", voltagesMv, voltageMv: null });
      const { clockMhz, voltageMv, durationS } = proposal as ProposalTold;
      if (durationS === 3600) hours.push(`${clockMhz} ${voltageMv}`);
      if (settled?.includes("what to run has not run itself yet")) lacked.push({ voltageMv, durationS });
      const passes = (clockMhz ?? 0) <= 4637 + 2 * ((voltageMv ?? 0) - 1200);
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv, loadTempC: 65, ambientC: 22 },
        ...{ outcome: passes ? "pass" : "freeze", durationS: passes ? durationS : 60 },
      });
    }
    expect(lacked[0]).toEqual({ voltageMv: 1150, durationS: 600 });
    expect(hours.length).toBeGreaterThan(1);
    expect(new Set(hours).size).toBe(hours.length);
  });

  it("asks with how little voltage the same clock is held once the answer has its hour, and ends", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const limitMhz = (voltageMv: number) => 4637 + 1.6 * (voltageMv - 1200);
    const run = (clockMhz: number, voltageMv: number, durationS: number) => {
      const share = Math.min(0.9, Math.exp((limitMhz(voltageMv) - clockMhz) / 14));
      return server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv, ambientC: 22 },
        ...(clockMhz <= limitMhz(voltageMv)
          ? { outcome: "pass", durationS }
          : { outcome: "freeze", durationS: Math.round(durationS * share) }),
        loadTempC: Math.round(22 + 43 * (voltageMv / 1200) ** 2.2 * (clockMhz / 4600)),
      });
    };
    await run(4500, 1200, 600);
    const proposals: ProposalTold[] = [];
    const isOver = () => proposals.at(-1)?.because.includes("another one adds little") === true;
    while (proposals.length < 30 && !isOver()) {
      const proposal = (await adviceFor(server.journal, cupboard)({ voltageMv: null }))
        .proposal as ProposalTold;
      proposals.push(proposal);
      await run(proposal.clockMhz, proposal.voltageMv, proposal.durationS);
    }
    const proved = proposals.findIndex(({ purpose }) => purpose === "prove");
    const { clockMhz, voltageMv } = proposals[proved]!;
    const [less] = proposals.slice(proved + 1);
    expect([less!.clockMhz, less!.voltageMv < voltageMv]).toEqual([clockMhz, true]);
    expect(less!.because).toMatch(/^Less voltage may do the same\. /);
    expect(isOver()).toBe(true);
    expect(proposals.at(-1)).toMatchObject({ clockMhz, voltageMv, durationS: 3600 });
  });

  it("walks by plain steps where that is asked, and where nothing was tried", async () => {
    const { advice, server } = await settledBuild();
    expect((await advice({ aim: "steps" })).from).toBe("plain");
    const { frame } = await smallWorld(server);
    expect((await advice({ buildId: frame, voltageMv: null })).from).toBe("plain");
  });
});

describe("plainBenchAdvice(journal, asked) of a chip that is set by offset", () => {
  it("begins with the chip as it comes before anything is fitted, and leaves it once something ran", async () => {
    const server = await testServer();
    const { rig, load } = await cardWorld(server);
    const asked = { buildId: rig, aim: "clock", clockMhz: null, again: null, workloadId: null } as const;
    expect(plainBenchAdvice(server.journal, asked).byOffset).toMatchObject({
      ...{ offset: 0, part: null, workloadId: load, purpose: "screen", durationS: 900 },
    });
    const ran = { workloadId: load, offset: 0, outcome: "pass", durationS: 900 };
    await server.send("POST", `/api/builds/${rig}/attempts`, ran);
    expect(plainBenchAdvice(server.journal, asked).byOffset).toBeNull();
  });
});
