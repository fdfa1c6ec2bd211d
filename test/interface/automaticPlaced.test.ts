import { describe, expect, it } from "vitest";
import type { Reckon } from "../../server/answers/reckoned.ts";
import { type FitKind, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import type { DifferenceQuestion } from "../../server/bench/limit/clockDifference.ts";
import { freshJournal, smallWorld, type TestServer, testServer } from "../support/bench.ts";

const atBoard = (loadVoltageMv: number) => ({ loadVoltageMv, voltageReadAt: "board" });

async function benchOn(server: TestServer) {
  const { send } = server;
  const world = await smallWorld(server);
  const chip = await send("POST", "/api/chips", {
    ...{ name: "Dunlin", kind: "cpu", tempLimitC: 95, automaticVoltage: true },
    ...{ stockClockMhz: 4000, stockVoltageMv: 1100 },
  });
  return buildOn(server, { name: "Shelf", chipId: chip.body.id, boardId: world.small }, world.heavy);
}

/** A build of a chip, at which the same load is tried every half hour. */
async function buildOn(
  server: TestServer,
  made: { name: string; chipId: string; boardId: string },
  load: string,
) {
  const { id } = (await server.send("POST", "/api/builds", made)).body;
  const address = `/api/builds/${id}`;
  let minute = 0;
  const tried = async (attempt: object) => {
    minute += 30;
    const startedAt = new Date(Date.UTC(2031, 4, 3, 8, minute)).toISOString();
    const reply = await server.send("POST", `${address}/attempts`, {
      ...{ workloadId: load, outcome: "pass", durationS: 1200, startedAt },
      ...attempt,
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
    return reply.body.id as string;
  };
  const asked = async (what: string) => (await server.send("GET", `${address}/${what}`)).body;
  const another = (name: string) => buildOn(server, { ...made, name }, load);
  const compared = async (other: string, by = "set") =>
    (await server.send("GET", `/api/compare?a=${id}&b=${other}&by=${by}`)).body.clock;
  return { id, tried, asked, another, compared };
}

type Bench = Awaited<ReturnType<typeof benchOn>>;

async function setByHand({ tried }: Bench, read: (mv: number) => object): Promise<void> {
  await tried({ clockMhz: 4200, voltageMv: 1150, ...read(1108) });
  await tried({ clockMhz: 4250, voltageMv: 1150, ...read(1105) });
  await tried({ clockMhz: 4350, voltageMv: 1150, outcome: "freeze", durationS: 300 });
}

async function onAutomatic({ tried }: Bench): Promise<void> {
  await tried({ clockMhz: 4300, voltageMv: null, ...atBoard(1140) });
  await tried({ clockMhz: 4400, voltageMv: null, outcome: "freeze", durationS: 400, ...atBoard(1136) });
  await tried({ clockMhz: 4450, voltageMv: null, outcome: "freeze", durationS: 60 });
}

type Fitted = Readonly<{ curve: readonly { lowMhz: number; highMhz: number }[] }>;
const widthOf = ({ curve: [first] }: Fitted): number => (first?.highMhz ?? 0) - (first?.lowMhz ?? 0);

describe("attempts on automatic voltage whose load voltage was read", () => {
  it("teach the limit where the droop is known, and say how surely; the frontier stays", async () => {
    const bench = await benchOn(await testServer());
    await setByHand(bench, atBoard);
    const [alone, observed] = [await bench.asked("limit"), await bench.asked("frontier")];
    expect(alone.automatic).toBeNull();
    await onAutomatic(bench);
    const taught = await bench.asked("limit");
    expect(taught.automatic).toEqual({ attempts: 2, withinMv: expect.any(Number) });
    expect(taught.automatic.withinMv).toBeGreaterThan(5);
    expect(taught.automatic.withinMv).toBeLessThan(30);
    expect(taught.sentence).toMatch(
      / 2 attempts on automatic voltage were placed by what was read under load, to within \d+ mV nine times in ten\.$/,
    );
    expect(widthOf(taught)).toBeLessThan(widthOf(alone));
    expect(taught.attempts).toBe(3);
    expect((await bench.asked("frontier")).points).toEqual(observed.points);
  });

  it("teach the other builds of their chip, and count where two builds are compared", async () => {
    const shelf = await benchOn(await testServer());
    const [frame, tray] = [await shelf.another("Frame"), await shelf.another("Tray")];
    await setByHand(shelf, atBoard);
    await setByHand(frame, () => ({}));
    await setByHand(tray, () => ({}));
    const alone = await tray.asked("limit");
    const bySet = await shelf.compared(frame.id);
    await onAutomatic(shelf);
    const taught = await tray.asked("limit");
    expect(taught.taughtBy).toContain("Shelf");
    expect(widthOf(taught)).toBeLessThan(0.97 * widthOf(alone));
    const since = await shelf.compared(frame.id);
    const turned = await frame.compared(shelf.id);
    for (const { low, high } of [since, turned])
      expect(high - low).toBeLessThan(0.97 * (bySet.high - bySet.low));
  });

  it("stand at their own reading where builds are compared at the same voltage under load, without the droop", async () => {
    const asked: DifferenceQuestion[] = [];
    const reckon: Reckon = async (kind, request) => {
      if (kind === "difference") asked.push(request as DifferenceQuestion);
      return fitAnswerOf(kind as FitKind, request as never);
    };
    const shelf = await benchOn(await testServer(freshJournal(), { reckon }));
    const frame = await shelf.another("Frame");
    for (const bench of [shelf, frame]) await setByHand(bench, atBoard);
    await onAutomatic(shelf);
    for (const by of ["set", "load"]) await shelf.compared(frame.id, by);
    const [[bySet, droop], [byLoad, none]] = asked.map(({ a }) => [
      a.placed?.map(({ row }) => row.voltageMv),
      a.placed?.map(({ droopDeviationMv }) => droopDeviationMv),
    ]) as unknown as [[number[], number[]], [number[], number[]]];
    expect(byLoad).toEqual([1140, 1136]);
    expect(none).toEqual([0, 0]);
    expect(Math.min(...droop)).toBeGreaterThan(1);
    for (const [i, setMv] of bySet.entries()) expect(setMv - (byLoad[i] ?? 0)).toBeGreaterThan(25);
    expect(asked.map(({ b }) => b.placed)).toEqual([[], []]);
  });

  it("teach nothing where no set voltage was read, not by a digit", async () => {
    const bench = await benchOn(await testServer());
    await setByHand(bench, () => ({}));
    const alone = await bench.asked("limit");
    await onAutomatic(bench);
    expect(await bench.asked("limit")).toEqual(alone);
  });
});
