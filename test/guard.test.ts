import { randomBytes } from "node:crypto";
import net from "node:net";
import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "./support/bench.ts";

describe("the guard", () => {
  it("answers only to the names of this machine", async () => {
    const { app } = await testServer();
    for (const host of ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example"]) {
      const reply = await app.inject({ url: "/api/health", headers: { host } });
      expect([host, reply.statusCode, reply.json().error.code]).toEqual([host, 421, "forbidden"]);
    }
    for (const host of ["localhost", "127.0.0.1", "[::1]", "LOCALHOST:80"])
      expect((await app.inject({ url: "/api/health", headers: { host } })).statusCode).toBe(200);
  });

  it("answers a loopback name at any port, since a tunnel ends at another than its own", async () => {
    const { app } = await testServer();
    await app.listen({ host: "127.0.0.1", port: 0 });
    const { port } = app.server.address() as net.AddressInfo;
    for (const host of [`localhost:${port}`, `localhost:${port + 1}`, "127.0.0.1:9", "[::1]:80", "localhost"])
      expect([host, await statusOver(port, host)]).toEqual([host, "200"]);
    for (const host of [`evil.example:${port}`, "localhost:80:80", "localhost:x", "localhost.evil.example"])
      expect([host, await statusOver(port, host)]).toEqual([host, "421"]);
  });

  it("answers to the names of a proxy in front at any port", async () => {
    const { app } = await testServer(undefined, { guard: { hosts: [], knownAs: ["bench.example"] } });
    for (const host of ["bench.example", "bench.example:8443", "BENCH.example"])
      expect((await app.inject({ url: "/api/health", headers: { host } })).statusCode).toBe(200);
    expect((await app.inject({ url: "/api/health", headers: { host: "other.example" } })).statusCode).toBe(
      421,
    );
  });

  it("refuses a request that names two hosts", async () => {
    const { app } = await testServer();
    await app.listen({ host: "127.0.0.1", port: 0 });
    const { port } = app.server.address() as net.AddressInfo;
    for (const other of ["localhost", "evil.example"])
      expect(await statusOver(port, `localhost\r\nHost: ${other}`)).toBe("400");
  });

  it("lets another site open a page and nothing else", async () => {
    const { app } = await testServer();
    const asked = async (url: string, mode: string, dest: string, site = "cross-site") => {
      const fetched = { "sec-fetch-site": site, "sec-fetch-mode": mode, "sec-fetch-dest": dest };
      return (await app.inject({ url, headers: fetched })).statusCode;
    };
    expect(await asked("/builds", "navigate", "document")).toBe(200);
    for (const site of ["cross-site", "same-site"]) {
      expect(await asked("/builds", "navigate", "iframe", site)).toBe(403);
      expect(await asked("/builds", "no-cors", "image", site)).toBe(403);
    }
    for (const url of ["/api/export", "/journal/integrity", "/journal/backup", "/api/builds"]) {
      expect([url, await asked(url, "navigate", "document")]).toEqual([url, 403]);
      expect([url, await asked(url, "no-cors", "image")]).toEqual([url, 403]);
    }
    expect(await asked("/journal/integrity", "navigate", "document", "same-origin")).toBe(200);
    expect(await asked("/api/builds", "cors", "empty", "none")).toBe(200);
  });

  it("answers no page of another site that names itself as the origin, whatever it asks for", async () => {
    const { send } = await testServer();
    const asked = async (origin: string, url: string) =>
      (await send("GET", url, undefined, { host: "localhost:4780", origin })).status;
    for (const url of ["/api/boards", "/api/export", "/builds"]) {
      for (const origin of ["http://evil.example", "null", "http://localhost:1"])
        expect([url, origin, await asked(origin, url)]).toEqual([url, origin, 403]);
      expect(await asked("http://localhost:4780", url)).toBe(200);
    }
  });

  it("lets no page of another site write, and reads no body of one", async () => {
    const server = await testServer();
    await smallWorld(server);
    const foreign = [
      { origin: "http://evil.example" },
      { origin: "null" },
      { origin: "http://localhost:1" },
      { "sec-fetch-site": "cross-site" },
      { "sec-fetch-site": "same-site" },
    ];
    for (const headers of foreign) {
      const reply = await server.send(
        "POST",
        "/api/boards",
        { name: "Mole" },
        { host: "localhost", ...headers },
      );
      expect([headers, reply.status, reply.body.error.code]).toEqual([headers, 403, "forbidden"]);
      const unread = await server.app.inject({
        method: "POST",
        url: "/api/boards",
        headers: { ...headers, "content-type": "application/json" },
        payload: "{",
      });
      expect(unread.statusCode).toBe(403);
    }
    expect((await server.send("GET", "/api/boards")).body.items).toHaveLength(2);
    const own = await server.send(
      "POST",
      "/api/boards",
      { name: "Mole" },
      { host: "localhost", origin: "http://localhost" },
    );
    expect(own.status).toBe(201);
  });

  it("sends a policy that allows no inline script and no foreign source", async () => {
    const { app } = await testServer();
    const reply = await app.inject("/api/health");
    const policy = String(reply.headers["content-security-policy"]);
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toMatch(/unsafe|http:|\*/);
    expect(reply.headers["x-content-type-options"]).toBe("nosniff");
  });

  it("takes no body larger than stated", async () => {
    const { send } = await testServer();
    const refused = await send("POST", "/api/boards", {
      name: "Mole",
      note: randomBytes(800_000).toString("hex"),
    });
    expect([refused.status, refused.body.error.code]).toEqual([413, "too-large"]);
  });
});

/** The status line of a bare request, so that the Host header is sent as it is. */
const statusOver = (port: number, host: string): Promise<string | undefined> =>
  new Promise((resolve, reject) => {
    const socket = net.connect(port, "127.0.0.1", () => {
      socket.write(`GET /api/health HTTP/1.1\r\nHost: ${host}\r\nConnection: close\r\n\r\n`);
    });
    let text = "";
    socket.on("data", (chunk) => {
      text += chunk;
    });
    socket.on("end", () => resolve(text.split(" ")[1]));
    socket.on("error", reject);
  });
