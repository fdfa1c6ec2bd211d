import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const mainOf = (html: string): string => plainText(/<main.*<\/main>/s.exec(html)?.[0] ?? html);

/** A build whose search at 1.200 V is over: passes of an hour up to 4625 MHz, crashes from 4650 on. */
async function doneBuild(server: TestServer) {
  const world = await smallWorld(server);
  const ran = (clockMhz: number, outcome: string, durationS: number) =>
    server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz, voltageMv: 1200, outcome, durationS },
      ...{ loadTempC: 65, ambientC: 22 },
    });
  for (const clockMhz of [4550, 4600, 4600, 4625, 4625, 4625]) await ran(clockMhz, "pass", 3600);
  for (const [clockMhz, seconds] of [
    [4650, 500],
    [4675, 40],
    [4700, 5],
  ] as const)
    await ran(clockMhz, "freeze", seconds);
  const best = async () => (await server.send("GET", `/api/builds/${world.cupboard}/best`)).body;
  return { ...world, ran, best };
}

describe("the bench of a build whose search is over", () => {
  it("says what to run above everything else, how sure that is and on what, then what is left", async () => {
    const server = await testServer();
    const { cupboard, best } = await doneBuild(server);
    const { state, setting } = await best();
    expect(state).toBe("done");
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    const heading = plainText(/<h1>.*?<\/h1>/s.exec(body)?.[0] ?? "");
    expect(heading).toBe(`Run ${setting.clockMhz} MHz at 1.200 V`);
    const words = mainOf(body);
    expect(words).toMatch(/Done\. An hour there passes 9\d in 100; \d+ °C to spare in a 30 °C room\./);
    expect(words).toContain("From 9 attempts, the longest 60 min.");
    expect(words).toContain("Note for firmware");
    expect(words.indexOf("Next:")).toBeGreaterThan(words.indexOf("Done."));
  });

  it("says at once what a crash contests, what to run until it is settled, and offers the same once", async () => {
    const server = await testServer();
    const { cupboard, heavy, best } = await doneBuild(server);
    const before = (await best()).setting;
    const sent = await postForm(server, `/builds/${cupboard}/attempts`, {
      clockMhz: String(before.clockMhz),
      voltageMv: "1.2",
      workloadId: heavy,
      outcome: "freeze",
      durationS: "41",
    });
    expect(sent.status).toBe(303);
    const now = (await server.send("GET", `/api/builds/${cupboard}/best?wait=0`)).body;
    expect(now.reckoning).toBe(true);
    expect(now.setting?.clockMhz ?? 0).toBeLessThan(before.clockMhz);
    expect(now.changedBecause[0].words).toContain(`${before.clockMhz} MHz at 1.200 V froze after 41 min`);
    const { body } = await server.send("GET", String(sent.headers.location));
    expect(mainOf(body)).toMatch(
      /Contested\. That or harder passed (once|twice|\d times)\. Until it is settled, run 4\d+ MHz/,
    );
    const address = /href="([^"]*again=[^"]*)"/.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    await best();
    const again = await server.send("GET", address);
    expect(plainText(/<h1>.*?<\/h1>/s.exec(again.body)?.[0] ?? "")).toBe(
      `Next: ${before.clockMhz} MHz at 1.200 V`,
    );
  });

  it("never heads with a setting that heat ended", async () => {
    const server = await testServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const { clockMhz } = (await best()).setting;
    await ran(clockMhz, "too-hot", 300);
    const now = (await best()).setting;
    expect(now === null || now.clockMhz < clockMhz || now.voltageMv < 1200).toBe(true);
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    expect(mainOf(body)).not.toContain(`Run ${clockMhz} MHz at 1.200 V`);
  });
});

describe("the aim of a build", () => {
  it("is changed by one tap, stays with the build, and another question is called that", async () => {
    const server = await testServer();
    const { cupboard, best } = await doneBuild(server);
    const sent = await postForm(server, `/builds/${cupboard}/aim`, { back: "bench", use: "unattended" });
    expect(sent.headers.location).toBe(`/?build=${cupboard}`);
    expect((await server.send("GET", `/api/builds/${cupboard}`)).body).toMatchObject({
      use: "unattended",
      goal: "clock",
    });
    expect(await best()).toMatchObject({ isAim: true, aim: { use: "unattended", goal: "clock" } });
    const other = (await server.send("GET", `/api/builds/${cupboard}/best?use=benchmark`)).body;
    expect(other.isAim).toBe(false);
    expect(other.because.at(-1)).toContain("This is not the aim of the build");
    expect((await postForm(server, `/builds/${cupboard}/aim`, { use: "glory" })).status).toBe(400);
  });
});

describe("GET /api/builds/:id/next?wait=0", () => {
  it("answers at once by the plain rule, clear of what failed, and says that it is being worked out", async () => {
    const server = await testServer(undefined, { reckon: () => new Promise(() => undefined) });
    const { cupboard, heavy } = await smallWorld(server);
    for (const [clockMhz, outcome] of [
      [4600, "pass"],
      [4575, "freeze"],
    ] as const)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS: 900 },
      });
    const { status, body } = await server.send("GET", `/api/builds/${cupboard}/next?wait=0`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ reckoning: true, voltageMv: 1200, answer: { setting: null } });
    expect(body.clockMhz).toBeLessThan(4575);
  });
});
