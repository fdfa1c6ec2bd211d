import { afterEach, describe, expect, it } from "vitest";
import { endsEvening } from "../../server/attend/evening.ts";
import { type AttendedBench, attendedBench as opened, seconds } from "./attendedBench.ts";

const open: AttendedBench[] = [];
afterEach(async () => {
  for (const bench of open.splice(0)) await bench.close();
});

/** A machine of an evening that reads this clock at rest and under load. */
async function eveningBench(clockMhz: number): Promise<AttendedBench> {
  const bench = await opened({
    wanted: { evening: true, settleS: 5 },
    reads: (s) => ({ tempC: s === null ? 40 : 60 + (s % 7) / 10, clockMhz, powerW: s === null ? 20 : 120 }),
  });
  open.push(bench);
  return bench;
}

const saysOf = async ({ server }: AttendedBench) =>
  (await server.send("GET", "/api/attendants")).body.items[0];

/** What the page told somebody to set, as a page that was looked at between two runs leaves it. */
const told = (bench: AttendedBench, clockMhz: number, besides = {}): void =>
  bench.server.attendants.show(bench.world.frame, {
    ...{ clockMhz, voltageMv: 1200, workloadId: bench.world.heavy, durationS: 40, besides },
  });

const record = (bench: AttendedBench, outcome: string, clockMhz = 4500) =>
  bench.server.send("POST", `/api/builds/${bench.world.frame}/attempts`, {
    ...{ workloadId: bench.world.heavy, clockMhz, voltageMv: 1200, outcome, durationS: 600 },
    startedAt: "2031-05-04T12:00:00Z",
  });

describe("an evening", () => {
  it("asks once the machine has settled, and waits for the tap", async () => {
    const bench = await eveningBench(4600);
    await seconds(bench.machine, 2);
    expect((await saysOf(bench)).state).toBe("here");
    await seconds(bench.machine, 10);
    expect(await saysOf(bench)).toMatchObject({ state: "booted", evening: true, reads: { clockMhz: 4600 } });
    expect(bench.machine.starts()).toBe(0);
    await bench.arm();
    await seconds(bench.machine, 3);
    expect(bench.machine.starts()).toBe(1);
  });

  it("needs no tap where the machine confirms what somebody was told to set, and the last attempt did not die", async () => {
    const bench = await eveningBench(4600);
    await record(bench, "pass");
    told(bench, 4600);
    await seconds(bench.machine, 10);
    expect(bench.machine.starts()).toBe(1);
  });

  it("arms by itself with what else stood as it did", async () => {
    const bench = await eveningBench(4600);
    await record(bench, "pass");
    told(bench, 4600, { ambientC: 23, fanMode: "quiet curve" });
    await seconds(bench.machine, 10);
    const { body } = await bench.server.send("GET", `/api/builds/${bench.world.frame}/attempts`);
    expect(body.items[0]).toMatchObject({ clockMhz: 4600, ambientC: 23, fanMode: "quiet curve" });
  });

  it("waits for the tap where it reads another clock, cannot tell it from the last, or something died", async () => {
    for (const { readMhz, lastMhz, outcome } of [
      { readMhz: 4000, lastMhz: 4500, outcome: "pass" },
      { readMhz: 4600, lastMhz: 4600, outcome: "pass" },
      { readMhz: 4600, lastMhz: 4500, outcome: "freeze" },
    ]) {
      const bench = await eveningBench(readMhz);
      await record(bench, outcome, lastMhz);
      told(bench, 4600);
      await seconds(bench.machine, 12);
      expect([readMhz, lastMhz, outcome, bench.machine.starts()]).toEqual([readMhz, lastMhz, outcome, 0]);
      expect((await saysOf(bench)).state).toBe("booted");
    }
  });

  it("ends with three deaths within an hour; what somebody arms is run all the same", async () => {
    const bench = await eveningBench(4600);
    for (let death = 0; death < 3; death++) {
      const id = await bench.arm({ plannedS: 600, clockMhz: 4600 + death });
      await seconds(bench.machine, 20);
      await bench.machine.dieWithin();
      bench.server.pass(60);
      bench.machine.start("machine");
      await seconds(bench.machine, 10);
      expect((await bench.attempt(id)).outcome).toBe("died");
    }
    expect(await saysOf(bench)).toMatchObject({ state: "here", evening: false });
    expect(bench.machine.starts()).toBe(3);
    await bench.arm();
    await seconds(bench.machine, 5);
    expect(bench.machine.starts()).toBe(4);
  });

  it("counts deaths by the hour", () => {
    const at = (minutes: number) => new Date(Date.UTC(2031, 4, 4, 12, minutes)).toISOString();
    const died = (...minutes: number[]) =>
      minutes.map((one) => ({ attemptId: "a", outcome: "died" as const, endedAt: at(one) }));
    expect(endsEvening(died(0, 20, 50), 3, at(55))).toBe(true);
    expect(endsEvening(died(0, 20, 70), 3, at(71))).toBe(false);
    expect(endsEvening(died(0, 20, 50), 3, at(61))).toBe(false);
    expect(endsEvening(died(0, 20), 3, at(21))).toBe(false);
  });
});
