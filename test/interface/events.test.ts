import { once } from "node:events";
import { type ClientRequest, get, type IncomingMessage, request } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

type Event = Readonly<{ id: string; kind: string; of: string }>;

const open: ClientRequest[] = [];
afterEach(() => {
  for (const one of open.splice(0)) one.destroy();
});

/** A listener written down from the standard: events end with an empty line, lines with a colon are comments. */
async function listener(
  port: number,
  lastId?: string,
  more: Readonly<{ after?: string; headers?: Record<string, string> }> = {},
) {
  const { after = "", headers = {} } = more;
  const asked = get({
    port,
    path: `/api/events?after=${after}`,
    headers: { ...headers, ...(lastId && { "last-event-id": lastId }) },
  });
  open.push(asked);
  const [answer] = (await once(asked, "response")) as [IncomingMessage];
  const events: Event[] = [];
  let text = "";
  answer.setEncoding("utf8");
  answer.on("data", (words: string) => {
    text += words;
    const blocks = text.split("\n\n");
    text = blocks.pop() ?? "";
    for (const block of blocks) {
      const [, id] = /^id: (.*)$/m.exec(block) ?? [];
      const [, data] = /^data: (.*)$/m.exec(block) ?? [];
      if (id === undefined || data === undefined) continue;
      const { kind, id: of } = JSON.parse(data) as { kind: string; id: string };
      events.push({ id, kind, of });
    }
  });
  const until = async (count: number): Promise<readonly Event[]> => {
    for (let tries = 0; events.length < count && tries < 200; tries++)
      await new Promise((resolve) => setTimeout(resolve, 10));
    return events;
  };
  const closed = new Promise<void>((resolve) => answer.once("close", resolve));
  answer.on("error", () => undefined);
  const leave = (): Promise<void> => {
    asked.destroy();
    return closed;
  };
  return { answer, events, until, leave, closed };
}

async function listenOn({ app }: TestServer): Promise<AddressInfo> {
  await app.listen({ port: 0, host: "127.0.0.1" });
  return app.server.address() as AddressInfo;
}

async function listening() {
  const server = await testServer();
  const { port } = await listenOn(server);
  const { cupboard, chip, small, heavy } = await smallWorld(server);
  const pass = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
  return { server, port, world: { buildId: cupboard, chipId: chip, boardId: small, pass } };
}

describe("GET /api/events", () => {
  it("tells what was committed, and of which build, within the second", async () => {
    const { server, port, world } = await listening();
    const ear = await listener(port);
    expect(ear.answer.headers["content-type"]).toContain("text/event-stream");
    await server.send("POST", `/api/builds/${world.buildId}/attempts`, world.pass);
    const [first] = await ear.until(1);
    expect(first).toMatchObject({ kind: "attempts", of: world.buildId });
  });
  it("tells nothing of what was refused", async () => {
    const { server, port, world } = await listening();
    const ear = await listener(port);
    await server.send("POST", `/api/builds/${world.buildId}/attempts`, { ...world.pass, clockMhz: -1 });
    await server.send("PATCH", `/api/builds/${world.buildId}`, { note: "dusted" });
    const [first] = await ear.until(1);
    expect(first?.kind).toBe("builds");
  });
  it("after a gap tells what was missed, in order and once, also where nobody else listened meanwhile", async () => {
    const { server, port, world } = await listening();
    const ear = await listener(port);
    await server.send("PATCH", `/api/builds/${world.buildId}`, { note: "one" });
    const [first] = await ear.until(1);
    await ear.leave();
    await server.send("PATCH", `/api/chips/${world.chipId}`, { note: "two" });
    await server.send("PATCH", `/api/boards/${world.boardId}`, { note: "three" });
    const again = await listener(port, first?.id);
    expect((await again.until(2)).map(({ kind }) => kind)).toEqual(["chips", "boards"]);
  });
  it("tells a page what changed between its writing and its listening, and nothing where nothing did", async () => {
    const { server, port, world } = await listening();
    const placeOf = async (page: string) =>
      /<main id="main" data-heard="([^"]+)"/.exec((await server.send("GET", page)).body)?.[1] ?? "";
    const after = await placeOf("/builds");
    await server.send("PATCH", `/api/builds/${world.buildId}`, { note: "dusted" });
    const ear = await listener(port, undefined, { after });
    expect((await ear.until(1)).map(({ kind }) => kind)).toEqual(["builds"]);
    const late = await listener(port, undefined, { after: await placeOf("/") });
    await server.send("PATCH", `/api/chips/${world.chipId}`, { note: "lent" });
    expect((await late.until(1)).map(({ kind }) => kind)).toEqual(["chips"]);
  });
  it("ends with the session it was opened in", async () => {
    const passphrase = "moss and granite";
    const server = await testServer(undefined, { passphrase });
    const { port } = await listenOn(server);
    const at = `http://127.0.0.1:${port}`;
    const signIn = { method: "POST", body: new URLSearchParams({ passphrase, to: "/" }) };
    const signedIn = await fetch(`${at}/sign-in`, { ...signIn, redirect: "manual" });
    const [cookie = ""] = String(signedIn.headers.get("set-cookie")).split(";");
    const headers = { authorization: `Basic ${Buffer.from(`:${passphrase}`).toString("base64")}` };
    const ear = await listener(port, undefined, { headers: { cookie } });
    const script = await listener(port, undefined, { headers });
    expect([ear.answer.statusCode, script.answer.statusCode]).toEqual([200, 200]);
    const journal = await (await fetch(`${at}/journal`, { headers: { cookie } })).text();
    const [, id = ""] = /name="id" value="([^"]+)"/.exec(journal) ?? [];
    const ending = { method: "POST", headers: { cookie }, body: new URLSearchParams({ id }) };
    expect((await fetch(`${at}/sessions/ending`, { ...ending, redirect: "manual" })).status).toBe(303);
    await server.send("POST", "/api/boards", { name: "Quay S" }, headers);
    await ear.closed;
    expect(ear.events).toEqual([]);
    expect((await script.until(1)).map(({ kind }) => kind)).toEqual(["boards"]);
  });
  it("says that anything may have changed where it cannot know what was missed", async () => {
    const { port } = await listening();
    const ear = await listener(port, "of-another-start-17");
    expect((await ear.until(1)).map(({ kind }) => kind)).toEqual(["all"]);
  });
  it("a HEAD ends at once, and streams do not count among the connections", async () => {
    const { server, port } = await listening();
    const most = server.app.server.maxConnections;
    const ear = await listener(port);
    expect(server.app.server.maxConnections).toBe(most + 1);
    await ear.leave();
    const asked = request({ port, path: "/api/events", method: "HEAD" }).end();
    const [answer] = (await once(asked, "response")) as [IncomingMessage];
    answer.resume();
    await once(answer, "end");
    expect(answer.statusCode).toBe(200);
    expect(server.app.server.maxConnections).toBe(most);
  });
});
