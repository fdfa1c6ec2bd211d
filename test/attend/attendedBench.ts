import type { Outcome } from "../../server/bench/things/outcome.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { plainServer } from "../support/plainServer.ts";
import { type SimulatedMachine, type SimulatedOf, simulatedMachine } from "../support/simulatedMachine.ts";

/** A real server, a build, and a simulated machine that attends it. */
export async function attendedBench(
  more: Partial<SimulatedOf> & Readonly<{ seed?: number; name?: string; chip?: object }> = {},
) {
  const server = await plainServer();
  const made = async (url: string, body: object): Promise<string> =>
    (await server.send("POST", url, body)).body.id;
  const chipId = await made("/api/chips", {
    ...{ name: "Tern 8", kind: "cpu", tempLimitC: 95, stockClockMhz: 4000, stockVoltageMv: 1150 },
    ...more.chip,
  });
  const boardId = await made("/api/boards", { name: "Quay L" });
  const world = {
    heavy: await made("/api/workloads", { name: "Stacking", kind: "all-core" }),
    frame: await made("/api/builds", { name: "Open frame", chipId, boardId }),
    cupboard: await made("/api/builds", { name: "Cupboard", chipId, boardId }),
  };
  const random: SeededRandom = seededRandom(more.seed ?? 1);
  const machine = simulatedMachine({ server, buildId: world.frame, random, ...more });
  const arm = async (fields: object = {}): Promise<string> => {
    const { status, body } = await server.send("POST", `/api/builds/${world.frame}/attempts`, {
      workloadId: world.heavy,
      clockMhz: 4600,
      voltageMv: 1200,
      plannedS: 60,
      outcome: "running",
      ...fields,
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    return body.id;
  };
  const attempt = async (id: string) => (await server.send("GET", `/api/attempts/${id}`)).body;
  const rows = async (id: string): Promise<readonly number[]> => {
    const { status, body } = await server.send(
      "GET",
      `/api/attempts/${id}/trace?channel=temperature&points=20000`,
    );
    return status === 200 ? body.t : [];
  };
  return { server, world, random, machine, arm, attempt, rows, close: server.close };
}

export type AttendedBench = Awaited<ReturnType<typeof attendedBench>>;

/** Lets time pass until the attempt has ended, and gives how. */
export async function untilEnded(
  { attempt }: Pick<AttendedBench, "attempt">,
  machine: SimulatedMachine,
  id: string,
  mostS = 600,
): Promise<{ outcome: Outcome; durationS: number; [field: string]: unknown }> {
  for (let s = 0; s < mostS; s++) {
    await machine.second();
    if (s % 4 > 0) continue;
    const found = await attempt(id);
    if (found.outcome !== "running") return found;
  }
  throw new Error(`It had not ended after ${mostS} s: ${machine.said.join(" ")}`);
}

export const seconds = async (machine: SimulatedMachine, count: number): Promise<void> => {
  for (let s = 0; s < count; s++) await machine.second();
};
