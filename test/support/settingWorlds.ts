import { lens3 } from "../../server/demo/imageCard.ts";
import { setA } from "../../server/demo/memorySet.ts";
import type { TestServer } from "./bench.ts";

const made = async ({ send }: TestServer, url: string, body: object): Promise<string> =>
  (await send("POST", url, body)).body.id;

/** A running server as the worlds below ask it. */
export const asServer = (url: string) =>
  ({
    send: async (method: string, address: string, body: object) => {
      const answer = await fetch(url + address, {
        method,
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
      });
      return { status: answer.status, body: await answer.json() };
    },
  }) as never;

/** A graphics card set by an offset of its clock, with a power limit and a voltage offset as knobs. */
export async function cardWorld(server: TestServer) {
  const card = await made(server, "/api/chips", {
    ...lens3,
    ...{ stockClockMhz: null, stockVoltageMv: null, note: "" },
  });
  const board = await made(server, "/api/boards", { name: "Pier" });
  const load = await made(server, "/api/workloads", { name: "Deconvolve", kind: "graphics", severity: 5 });
  const rig = await made(server, "/api/builds", { name: "Long rig", chipId: card, boardId: board });
  return { card, board, load, rig };
}

/** A set of memory at rates of a grid, with timings and a second voltage that has a ceiling of its own. */
export async function memoryWorld(server: TestServer) {
  const set = await made(server, "/api/chips", { ...setA, mainPlace: "", limits: {}, note: "" });
  const board = await made(server, "/api/boards", { name: "Quay L" });
  const load = await made(server, "/api/workloads", { name: "Copy and check", kind: "memory", severity: 5 });
  const build = await made(server, "/api/builds", { name: "Set A on Quay L", chipId: set, boardId: board });
  return { set, board, load, build };
}

/** A processor whose cores are each set by an offset of their voltage. */
export async function coreWorld(server: TestServer) {
  const chip = await made(server, "/api/chips", {
    ...{ name: "Dunlin", kind: "cpu", tempLimitC: 95, axis: "offset" },
    offset: { name: "Curve offset", unit: "mV", step: 5, harder: "down", low: -80, high: 0 },
    parts: ["core 0", "core 1", "core 2"].map((name) => ({ name })),
  });
  const board = await made(server, "/api/boards", { name: "Quay L" });
  const load = await made(server, "/api/workloads", { name: "Stacking", kind: "all-core", severity: 5 });
  const build = await made(server, "/api/builds", { name: "Dunlin on Quay L", chipId: chip, boardId: board });
  return { chip, board, load, build };
}
