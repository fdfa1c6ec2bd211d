import { describe, expect, it } from "vitest";
import { freshJournal, smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const setting = (workloadId: string) => ({ workloadId, clockMhz: "4600", voltageMv: "1.2", plannedS: "15" });

const attemptsOf = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items;

describe("an interrupted attempt", () => {
  const interrupted = async (beat: object | null) => {
    const journal = freshJournal();
    const before = await testServer(journal);
    const { cupboard, heavy } = await smallWorld(before);
    await postForm(before, `/builds/${cupboard}/attempts`, { ...setting(heavy), outcome: "running" });
    const [{ id }] = await attemptsOf(before, cupboard);
    if (beat) await before.send("POST", `/api/attempts/${id}/heartbeats`, beat);
    await before.app.close();
    journal.close();
    return { server: await testServer(freshJournal(journal.file)), cupboard, id: id as string };
  };

  it("comes first, with the machine's last sign of life offered and nothing to arm", async () => {
    const { server, cupboard } = await interrupted({ elapsedS: 462 });
    const page = (await server.send("GET", `/?build=${cupboard}`)).body;
    expect(page).toMatch(/<h1[^>]*>How did/);
    expect(page).toMatch(/name="durationS"[^>]*value="07:42"/);
    expect(page).not.toContain("Arm this attempt");
  });

  it("is never guessed: without a sign of life the time is asked for", async () => {
    const { server, id } = await interrupted({ elapsedS: 462, from: "watcher" });
    const page = (await server.send("GET", "/")).body;
    expect(page).toMatch(/name="durationS"[^>]*value autocomplete/);
    const refused = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze", durationS: "" });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("Say how long it ran");
    expect((await server.send("GET", "/api/interrupted")).body.items).toHaveLength(1);
  });

  it("is ended with one tap at the time offered", async () => {
    const { server, id } = await interrupted({ elapsedS: 462 });
    await postForm(server, `/attempts/${id}/ending`, { outcome: "restart", durationS: "07:42" });
    expect((await server.send("GET", `/api/attempts/${id}`)).body).toMatchObject({
      outcome: "restart",
      durationS: 462,
    });
    expect((await server.send("GET", "/")).body).toContain("Arm this attempt");
  });

  it("is ended by a tap from before the interruption, timed by the page that kept it", async () => {
    const { server, id } = await interrupted(null);
    server.clock.pass(600);
    const ended = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze", tappedS: "203" });
    expect(ended.status).toBe(303);
    expect((await server.send("GET", `/api/attempts/${id}`)).body).toMatchObject({
      outcome: "freeze",
      durationS: 203,
    });
  });

  it("can be still running", async () => {
    const { server, id } = await interrupted(null);
    await postForm(server, `/attempts/${id}/resumption`, {});
    const page = (await server.send("GET", "/")).body;
    expect(page).toContain('role="timer"');
    expect((await server.send("GET", "/api/interrupted")).body.items).toEqual([]);
  });
});
