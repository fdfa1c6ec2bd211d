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

  it("answers only at the port it listens on", async () => {
    const { app } = await testServer();
    await app.listen({ host: "127.0.0.1", port: 0 });
    const { port } = app.server.address() as net.AddressInfo;
    expect(await statusOver(port, `localhost:${port}`)).toBe("200");
    expect(await statusOver(port, `localhost:${port + 1}`)).toBe("421");
    expect(await statusOver(port, "localhost")).toBe("421");
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
