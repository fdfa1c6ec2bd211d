import { describe, expect, it } from "vitest";
import { failuresOf } from "../../server/bench/frontier/standingFailures.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";
import { evidenceRow, testChip, testWorkload } from "../support/evidenceRows.ts";

/** So much higher than the truth does the main sensor read of a chip that tells a control value. */
const offsetC = 12;

/** A build of a chip whose main sensor reads so much too high, with an evening in which heat may be to blame. */
async function eveningOn(server: TestServer, controlOffsetC: number | null) {
  const world = await smallWorld(server);
  const chip = await server.send("POST", "/api/chips", {
    ...{ name: `Reads ${controlOffsetC}`, kind: "cpu", tempLimitC: 95, controlOffsetC, stockClockMhz: 4000 },
  });
  const build = await server.send("POST", "/api/builds", {
    ...{ name: `Shelf ${controlOffsetC}`, chipId: chip.body.id, boardId: world.small, hottestAmbientC: 30 },
  });
  const address = `/api/builds/${build.body.id}`;
  const tried = async (clockMhz: number, voltageMv: number, trueC: number, outcome = "pass") => {
    const loadTempC = trueC + (controlOffsetC ?? 0);
    const sent = await server.send("POST", `${address}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz, voltageMv, outcome, durationS: 1800, ambientC: 22 },
      ...(outcome === "pass" ? { loadTempC, peakTempC: loadTempC + 1 } : { peakTempC: loadTempC }),
    });
    expect(sent.status).toBe(201);
  };
  await tried(4600, 1200, 70);
  await tried(4650, 1200, 71);
  await tried(4600, 1250, 80, "freeze");
  await tried(4800, 1300, 84);
  await tried(4750, 1320, 88, "freeze");
  return (await server.send("GET", `${address}/frontier`)).body;
}

describe("a chip whose main sensor tells a control value", () => {
  it("has the margins and the crashes that heat excuses of one that reads the truth, less by that value", async () => {
    const server = await testServer();
    const [plain, control] = [await eveningOn(server, null), await eveningOn(server, offsetC)];
    const told = ({ points }: typeof plain) =>
      points.map(
        ({ voltageMv, heldMhz, impliedMhz, marginC, margin, contested }: Record<string, unknown>) => [
          ...[voltageMv, heldMhz, impliedMhz, marginC, margin],
          (contested as string[]).length,
        ],
      );
    expect(told(control)).toEqual(told(plain));
    expect(plain.points.map(({ marginC }: { marginC: number | null }) => marginC)).toContain(3);
    const excused = plain.points.filter(({ contested }: { contested: string[] }) => contested.length === 0);
    expect(excused.length).toBeGreaterThan(0);
    expect(excused.length).toBeLessThan(plain.points.length);
  });

  it("excuses a failure by heat from where its sensor stands so near its limit as it reads it", () => {
    const warmAt = (peakTempC: number, controlOffsetC: number | null): boolean =>
      failuresOf({
        rows: [evidenceRow({ outcome: "freeze", durationS: 300, peakTempC })],
        chip: testChip({ tempLimitC: 95, warnMarginC: 10, controlOffsetC }),
        ...{ workloads: [testWorkload("all-core")], workloadId: null, doubted: new Set<string>() },
      })[0]!.warm;
    for (const controlOffsetC of [null, 0, offsetC, -10])
      expect([84.5, 85].map((trueC) => warmAt(trueC + (controlOffsetC ?? 0), controlOffsetC))).toEqual([
        false,
        true,
      ]);
  });
});
