import type { TestServer } from "./bench.ts";

const made = async ({ send }: TestServer, url: string, body: object): Promise<string> =>
  (await send("POST", url, body)).body.id;

/** A graphics card set by an offset of its clock, with a power limit and a voltage offset as knobs. */
export async function cardWorld(server: TestServer) {
  const card = await made(server, "/api/chips", {
    name: "Lens 3",
    kind: "gpu",
    tempLimitC: 88,
    axis: "offset",
    offset: { name: "Clock offset", unit: "MHz", step: 15, harder: "up", low: -500, high: 500 },
    appliedBy: "software",
    mainPlace: "edge",
    limits: { hotspot: 105 },
    knobs: [
      {
        id: "power-limit",
        name: "Power limit",
        unit: "%",
        step: 5,
        harder: "up",
        belongs: "context",
        usual: 100,
      },
      {
        id: "memory-offset",
        ...{ name: "Memory offset", unit: "MHz", step: 50, harder: "up", belongs: "setting", usual: 0 },
        ceiling: 1000,
      },
    ],
  });
  const board = await made(server, "/api/boards", { name: "Pier" });
  const load = await made(server, "/api/workloads", { name: "Deconvolve", kind: "graphics", severity: 5 });
  const rig = await made(server, "/api/builds", { name: "Long rig", chipId: card, boardId: board });
  return { card, board, load, rig };
}

const timing = (id: string, name: string, usual: number) => ({
  ...{ id, name, usual, step: 1, harder: "down", belongs: "setting" },
});

/** A set of memory at rates of a grid, with timings and a second voltage that has a ceiling of its own. */
export async function memoryWorld(server: TestServer) {
  const set = await made(server, "/api/chips", {
    name: "Set A",
    kind: "memory",
    tempLimitC: 85,
    clockUnit: "MT/s",
    clockGrid: [5600, 6000, 6200, 6400],
    stockClockMhz: 5600,
    stockVoltageMv: 1250,
    voltageCeilingMv: 1450,
    modules: { count: 2, ranks: 1, slots: "A2, B2" },
    knobs: [
      timing("cl", "CL", 40),
      timing("trcd", "tRCD", 40),
      timing("trp", "tRP", 40),
      timing("tras", "tRAS", 80),
      {
        ...{ id: "controller", name: "Controller voltage", unit: "V", step: 0.01, harder: "none" },
        ...{ belongs: "setting", usual: 1.1, ceiling: 1.3 },
      },
    ],
  });
  const board = await made(server, "/api/boards", { name: "Quay L" });
  const load = await made(server, "/api/workloads", { name: "Copy and check", kind: "memory", severity: 5 });
  const build = await made(server, "/api/builds", { name: "Set A on Quay L", chipId: set, boardId: board });
  return { set, board, load, build };
}
