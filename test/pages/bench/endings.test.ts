import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { attemptsOf, setting } from "./benchForm.ts";

describe("ending an armed attempt", () => {
  const armed = async (server: TestServer) => {
    const { cupboard, heavy } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), outcome: "running" });
    const [{ id }] = await attemptsOf(server, cupboard);
    return { cupboard, id: id as string };
  };
  const read = async (server: TestServer, id: string) =>
    (await server.send("GET", `/api/attempts/${id}`)).body;

  it("times a crash by the server's clock", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    server.clock.pass(203);
    const ended = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze" });
    expect(ended.status).toBe(303);
    expect(await read(server, id)).toMatchObject({ outcome: "freeze", durationS: 203 });
  });

  it("is told in a sentence where nothing can have run so long, and goes on", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    for (const durationS of ["−5", "-5", "99999 h", "soon"]) {
      const refused = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze", durationS });
      expect([durationS, refused.status]).toEqual([durationS, 422]);
      expect(refused.body).toMatch(/role="alert"/);
      expect(await read(server, id)).toMatchObject({ outcome: "running" });
    }
  });

  it("is no pass before the planned time is up", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    server.clock.pass(899);
    const refused = await postForm(server, `/attempts/${id}/ending`, { outcome: "pass" });
    expect(refused.status).toBe(422);
    expect(await read(server, id)).toMatchObject({ outcome: "running" });
  });

  it("offers Passed once the planned time is up, and records the planned time unless the load ran on", async () => {
    const server = await testServer();
    const { cupboard, id } = await armed(server);
    const before = (await server.send("GET", `/?build=${cupboard}`)).body;
    expect(before).toMatch(/data-after-planned[^>]*hidden/);
    server.clock.pass(1500);
    const after = (await server.send("GET", `/?build=${cupboard}`)).body;
    expect(after).toMatch(/data-before-planned[^>]*hidden/);
    expect(after).not.toMatch(/data-after-planned[^>]*hidden/);
    await postForm(server, `/attempts/${id}/ending`, { outcome: "pass" });
    expect(await read(server, id)).toMatchObject({ outcome: "pass", durationS: 900 });
    await postForm(server, `/attempts/${id}/resumption`, {});
    await postForm(server, `/attempts/${id}/ending`, { ranOn: "pass" });
    expect(await read(server, id)).toMatchObject({ outcome: "pass", durationS: 1500 });
  });

  it("can be undone; a second tap changes nothing, and is told so where it says something else", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    server.clock.pass(60);
    await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze" });
    const same = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze" });
    expect(same.status).toBe(303);
    const other = await postForm(server, `/attempts/${id}/ending`, { outcome: "restart" });
    expect(other.status).toBe(422);
    expect(other.body).toContain("“restarted” was not kept");
    expect(await read(server, id)).toMatchObject({ outcome: "freeze", durationS: 60 });
    await postForm(server, `/attempts/${id}/resumption`, {});
    expect(await read(server, id)).toMatchObject({ outcome: "running", durationS: null });
  });

  it("is done once by a form that is sent again, also after it was undone", async () => {
    const server = await testServer();
    const { cupboard, id } = await armed(server);
    const page = await server.send("GET", `/?build=${cupboard}`);
    const [, once = ""] = /name="once" value="([^"]*)"/.exec(page.body) ?? [];
    server.clock.pass(60);
    const first = await postForm(server, `/attempts/${id}/ending`, { outcome: "freeze", once });
    await postForm(server, `/attempts/${id}/resumption`, {});
    server.clock.pass(60);
    const again = await postForm(server, `/attempts/${id}/ending`, {
      outcome: "freeze",
      once,
      tappedS: "60",
    });
    expect([again.status, again.headers.location]).toEqual([303, first.headers.location]);
    expect(await read(server, id)).toMatchObject({ outcome: "running" });
    await postForm(server, `/attempts/${id}/ending`, { outcome: "restart", once });
    expect(await read(server, id)).toMatchObject({ outcome: "restart", durationS: 120 });
  });

  it("is timed by the tap where it was sent later, and never after now", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    server.clock.pass(1500);
    const ended = (fields: Record<string, string>) => postForm(server, `/attempts/${id}/ending`, fields);
    const early = await ended({ outcome: "pass", tappedS: "899" });
    expect(early.status).toBe(422);
    await ended({ outcome: "freeze", tappedS: "203" });
    expect(await read(server, id)).toMatchObject({ outcome: "freeze", durationS: 203 });
    await postForm(server, `/attempts/${id}/resumption`, {});
    await ended({ outcome: "pass", tappedS: "1200" });
    expect(await read(server, id)).toMatchObject({ outcome: "pass", durationS: 900 });
    await postForm(server, `/attempts/${id}/resumption`, {});
    await ended({ outcome: "freeze", tappedS: "86400" });
    expect(await read(server, id)).toMatchObject({ durationS: 1500 });
    await postForm(server, `/attempts/${id}/resumption`, {});
    await ended({ outcome: "freeze", tappedS: "soon" });
    expect(await read(server, id)).toMatchObject({ durationS: 1500 });
  });

  it("can have ended earlier than the tap, between two times", async () => {
    const server = await testServer();
    const { id } = await armed(server);
    server.clock.pass(840);
    await postForm(server, `/attempts/${id}/ending`, {
      outcome: "freeze",
      durationS: "14",
      failedFromS: "5",
      failedToS: "12:30",
    });
    expect(await read(server, id)).toMatchObject({ durationS: 840, failedFromS: 300, failedToS: 750 });
  });
});
