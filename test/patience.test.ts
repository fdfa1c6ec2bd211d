import http from "node:http";
import net from "node:net";
import { Readable } from "node:stream";
import { setTimeout as pause } from "node:timers/promises";
import { describe, expect, it, onTestFinished, vi } from "vitest";
import { smallWorld, testServer } from "./support/bench.ts";

const json = { "content-type": "application/json" };

async function listening(patience: Partial<{ stallMs: number; lingerMs: number }> = {}) {
  const server = await testServer(undefined, {
    patience: { stallMs: 30_000, lingerMs: 2000, connections: 20, ...patience },
  });
  const address = await server.app.listen({ host: "127.0.0.1", port: 0 });
  return { ...server, address, port: Number(new URL(address).port) };
}

/** A server with one download of its own, and what it logs. */
async function logged(download: () => Promise<Readable>) {
  const server = await testServer(undefined, { log: true });
  server.app.get("/download", async (_request, reply) => reply.type("text/plain").send(await download()));
  const address = await server.app.listen({ host: "127.0.0.1", port: 0 });
  const lines: string[] = [];
  const written = vi.spyOn(process.stderr, "write").mockImplementation((words) => {
    lines.push(String(words));
    return true;
  });
  onTestFinished(() => written.mockRestore());
  return { ...server, port: Number(new URL(address).port), lines };
}

const connections = ({ app }: Awaited<ReturnType<typeof logged>>) =>
  new Promise<number>((resolve) => app.server.getConnections((_, count) => resolve(count)));

describe("a download that its reader gives up", () => {
  it("is no fault and is not logged, whenever it is given up", async () => {
    let begun = 0;
    const server = await logged(async () => {
      begun += 1;
      await pause(20);
      return Readable.from(endless(), { objectMode: false });
    });
    for (const encoding of ["gzip", "identity"])
      for (const afterMs of [5, 40]) {
        const socket = net.connect(server.port, "127.0.0.1");
        socket.on("data", () => undefined);
        socket.write(`GET /download HTTP/1.1\r\nHost: 127.0.0.1\r\nAccept-Encoding: ${encoding}\r\n\r\n`);
        const before = begun;
        await expect.poll(() => begun).toBe(before + 1);
        await pause(afterMs);
        socket.destroy();
      }
    await expect.poll(() => connections(server)).toBe(0);
    await pause(100);
    expect(server.lines).toEqual([]);
  });

  it("is logged where it was the source that broke off", async () => {
    const server = await logged(async () => Readable.from(brokenOff(), { objectMode: false }));
    expect((await server.send("GET", "/download")).status).toBe(500);
    expect(server.lines.join("")).toContain("The disk went away");
  });
});

describe("an upload that its sender gives up", () => {
  it("is no fault and is not logged, however it was sent", async () => {
    const server = await logged(async () => Readable.from([]));
    const { cupboard, heavy } = await smallWorld(server);
    const { body } = await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 60 },
    });
    const inParts = [
      ...["--cut", 'Content-Disposition: form-data; name="file"; filename="a.csv"', "Content-Type: text/csv"],
      ...["", "Time [s];CPU [°C]", "0;40", ""],
    ].join("\r\n");
    const sendings = [
      [`/api/attempts/${body.id}/trace`, "multipart/form-data; boundary=cut", inParts],
      [`/api/attempts/${body.id}/trace`, "text/csv", "Time [s];CPU [°C]\n0;40\n"],
      [`/heat/${body.id}/logs`, "multipart/form-data; boundary=cut", inParts],
      ["/journal/import", "multipart/form-data; boundary=cut", inParts],
      ["/api/import", "application/json", '{"version":'],
      ["/api/boards", "application/json", '{"name":'],
    ];
    for (const [address, type, words] of sendings) {
      const socket = net.connect(server.port, "127.0.0.1");
      socket.write(
        `POST ${address} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: ${type}\r\nContent-Length: 100000\r\n\r\n${words}`,
      );
      await pause(150);
      socket.destroy();
    }
    await expect.poll(() => connections(server)).toBe(0);
    await pause(100);
    expect(server.lines).toEqual([]);
  });
});

async function* endless(): AsyncGenerator<string> {
  for (let piece = 0; ; piece += 1) {
    yield "as much as anybody cares to read ";
    await pause(Math.min(piece, 10));
  }
}

async function* brokenOff(): AsyncGenerator<string> {
  yield await Promise.reject(new Error("The disk went away"));
}

describe("a server's patience", () => {
  it("answers what is too large in a sentence, every time, to Node's own fetch", async () => {
    const { address } = await listening();
    const body = JSON.stringify({ name: "Mole", note: "x".repeat(4_000_000) });
    for (let turn = 0; turn < 8; turn += 1) {
      const reply = await fetch(`${address}/api/boards`, { method: "POST", headers: json, body });
      expect(reply.status).toBe(413);
      expect(((await reply.json()) as { error: { code: string } }).error.code).toBe("too-large");
    }
  });

  it("answers a body of untold length in a sentence once it is too large", async () => {
    const { address } = await listening();
    async function* endless() {
      for (let piece = 0; piece < 200; piece += 1) yield Buffer.alloc(100_000, " ");
    }
    for (let turn = 0; turn < 8; turn += 1) {
      const request = { method: "POST", headers: json, body: endless(), duplex: "half" };
      const reply = await fetch(`${address}/api/boards`, request as unknown as RequestInit);
      expect(reply.status).toBe(413);
      expect(((await reply.json()) as { error: { code: string } }).error.code).toBe("too-large");
    }
  });

  it("lets whoever sends on for a moment and reads only then have the answer all the same", async () => {
    const { port } = await listening();
    const socket = net.connect(port, "127.0.0.1");
    const chunk = (bytes: number) => `${bytes.toString(16)}\r\n${" ".repeat(bytes)}\r\n`;
    socket.on("error", () => undefined);
    socket.write(
      `POST /api/boards HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ntransfer-encoding: chunked\r\n\r\n${chunk(3_000_000)}`,
    );
    for (let more = 0; more < 4; more += 1) {
      await pause(200);
      socket.write(chunk(100_000));
    }
    await pause(200);
    let heard = "";
    socket.on("data", (bytes) => {
      heard += bytes.toString();
    });
    await expect.poll(() => heard, { timeout: 10_000 }).toMatch(/^HTTP\/1\.1 413 .*too-large/s);
    socket.destroy();
  });

  it("refuses an upload that says beforehand that it is too large before any of it has come", async () => {
    const { address } = await listening();
    const began = performance.now();
    const status = await new Promise<number | undefined>((resolve, reject) => {
      const headers = { "content-type": "multipart/form-data; boundary=edge", "content-length": 100_000_000 };
      const request = http.request(`${address}/journal/import`, { method: "POST", headers }, (reply) =>
        resolve(reply.resume().statusCode),
      );
      request.on("error", reject);
      request.flushHeaders();
    });
    expect(status).toBe(413);
    expect(performance.now() - began).toBeLessThan(5000);
  });

  it("refuses an upload before it is sent, though the sender is slow", async () => {
    const { address, send } = await listening({ lingerMs: 200 });
    const { cupboard, heavy } = await smallWorld({ send } as never);
    const running = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "running" };
    const { id } = (await send("POST", `/api/builds/${cupboard}/attempts`, running)).body;
    const began = performance.now();
    const status = await new Promise<number | undefined>((resolve, reject) => {
      const request = http.request(
        `${address}/heat/${id}/logs`,
        {
          method: "POST",
          headers: { "content-type": "multipart/form-data; boundary=edge", "content-length": 100_000_000 },
        },
        (reply) => resolve(reply.resume().statusCode),
      );
      request.on("error", reject);
      request.write('--edge\r\nContent-Disposition: form-data; name="file"; filename="log.csv"\r\n\r\n');
    });
    expect(status).toBe(422);
    expect(performance.now() - began).toBeLessThan(5000);
  });

  it("cuts off a body that comes no further, and not one that is only slow", async () => {
    const { port } = await listening({ stallMs: 600 });
    const ended = (pieces: readonly string[], everyMs: number) =>
      new Promise<string>((resolve) => {
        let text = "";
        const socket = net.connect(port, "127.0.0.1", async () => {
          socket.write(
            "POST /api/boards HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 15\r\n\r\n",
          );
          for (const piece of pieces) {
            await pause(everyMs);
            socket.write(piece);
          }
        });
        socket.on("data", (bytes) => {
          text += bytes;
          if (text.includes("201")) socket.destroy();
        });
        socket.on("error", () => undefined);
        socket.on("close", () => resolve(text));
      });
    expect(await ended(['{"name":'], 10)).toMatch(/^HTTP\/1\.1 408/);
    expect(await ended([...'{"name":"Mole"}'], 150)).toMatch(/^HTTP\/1\.1 201/);
  });

  it("holds only so many connections at once", async () => {
    const { port } = await listening();
    const sockets = Array.from({ length: 30 }, () => net.connect(port, "127.0.0.1"));
    let closed = 0;
    for (const socket of sockets) socket.on("close", () => (closed += 1)).on("error", () => undefined);
    await pause(1500);
    expect(closed).toBe(10);
    for (const socket of sockets) socket.destroy();
  });
});
