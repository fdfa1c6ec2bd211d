import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";

const plain = (html: string): string => html.replace(/<[^>]+>/g, "").replace(/\u00a0/g, " ");

/** Passes below and crashes above 4650 MHz at 1.200 V on one build, a pass on another of the chip. */
async function fittedWorld() {
  const server = await testServer();
  const { cupboard, frame, heavy, light } = await smallWorld(server);
  const tried = (build: string, workloadId: string, clockMhz: number, voltageMv: number, outcome: string) =>
    server.send("POST", `/api/builds/${build}/attempts`, {
      ...{ workloadId, clockMhz, voltageMv, outcome, durationS: outcome === "pass" ? 1800 : 60 },
      ...{ loadTempC: 70, ambientC: 22 },
    });
  for (const voltageMv of [1150, 1200, 1250]) {
    const limitMhz = 4650 + 2 * (voltageMv - 1200);
    for (const under of [50, 25]) await tried(cupboard, heavy, limitMhz - under, voltageMv, "pass");
    for (const over of [25, 50]) await tried(cupboard, heavy, limitMhz + over, voltageMv, "freeze");
  }
  await tried(cupboard, light, 4675, 1200, "pass");
  await tried(frame, heavy, 4600, 1200, "pass");
  return { server, cupboard, frame };
}

/** What the page swaps in once it is worked out. */
async function pieceOf({ send }: TestServer, url: string): Promise<string> {
  for (let i = 0; i < 100; i++) {
    const { status, body } = await send("GET", url);
    if (status === 200) return body;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`${url} never came`);
}

describe("the fitted limit on the build's page", () => {
  it("tells its curve, its slope, what a lighter load gains and what nothing explains", async () => {
    const { server, cupboard } = await fittedWorld();
    const words = plain(await pieceOf(server, `/builds/${cupboard}/limit`));
    expect(words).toContain("The clock that nine in ten one-hour runs survive under Stacking");
    expect(words).toMatch(/10 mV more carry about \d+ MHz/);
    expect(words).toMatch(/Browsing: [+−]?\d+ MHz against Stacking/);
    expect(words).toMatch(/about one crash per \d+ hours that no setting explains/);
  });

  it("names the builds that taught the start and leaves them out when asked", async () => {
    const { server, cupboard } = await fittedWorld();
    const pooled = await pieceOf(server, `/builds/${cupboard}/limit`);
    expect(plain(pooled)).toContain("It starts from what this chip showed on Open frame. Leave out");
    const alone = await pieceOf(server, `/builds/${cupboard}/limit?pooled=no`);
    expect(plain(alone)).not.toContain("It starts from");
    expect(plain(alone)).toContain("What the chip showed on other builds is left out. Count it as a start");
  });

  it("says the voltage for a clock with its interval, and leads to the bench that looks for it", async () => {
    const { server, cupboard } = await fittedWorld();
    const asked = await pieceOf(server, `/builds/${cupboard}/limit?holds=4.6 GHz`.replace(" ", "%20"));
    expect(plain(asked)).toMatch(/4600 MHz holds in nine of ten one-hour runs from 1\.\d{3} V on/);
    expect(asked).toContain(`/?build=${cupboard}&amp;aim=voltage&amp;atMhz=4600`);
    const refused = await pieceOf(server, `/builds/${cupboard}/limit?holds=fast`);
    expect(refused).toContain('value="fast"');
    expect(refused).toContain("A clock lies between 1 and 20000 MHz.");
  });

  it("offers to look lower beside every clock", async () => {
    const { server, cupboard } = await fittedWorld();
    const { body } = await server.send("GET", `/builds/${cupboard}`);
    expect(body).toContain('aria-label="look lower: the lowest voltage that holds 4625 MHz"');
  });
});
