import { expect, it } from "vitest";
import { smallWorld, testServer } from "../../support/bench.ts";
import { cardWorld } from "../../support/settingWorlds.ts";

/** Pieces of the outermost kind, and whether one is for its own place alone. */
const piecesIn = (html: string) =>
  [...html.matchAll(/<div id="([\w-]+)"([^>]*)>/g)].map(([, id = "", more = ""]) => ({
    id,
    isOnlyThere: more.includes("data-only"),
  }));

it("what the fit says late goes where the page has a place for it, of clocks and of offsets", async () => {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const { rig, load } = await cardWorld(server);
  const ran = (build: string, run: object) =>
    server.send("POST", `/api/builds/${build}/attempts`, { outcome: "pass", durationS: 900, ...run });
  await ran(cupboard, { workloadId: heavy, clockMhz: 4500, voltageMv: 1200 });
  await ran(rig, { workloadId: load, offset: 30 });
  for (const id of [cupboard, rig]) {
    const late = async () => (await server.send("GET", `/builds/${id}/limit`)).body as string;
    await expect.poll(late, { timeout: 30_000 }).toContain('id="answer"');
    const page = (await server.send("GET", `/builds/${id}`)).body as string;
    const homeless = piecesIn(await late()).filter(
      (piece) => !piece.isOnlyThere && !page.includes(`id="${piece.id}"`),
    );
    expect(homeless).toEqual([]);
  }
}, 120_000);
