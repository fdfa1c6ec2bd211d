import net from "node:net";
import { describe, expect, it } from "vitest";
import { refusalFrom } from "../server/interface/refusals.ts";
import { smallWorld, testServer } from "./support/bench.ts";

/** What comes back for bytes that are no request of any client's. */
const answerTo = (port: number, words: string): Promise<string> =>
  new Promise((resolve, reject) => {
    let heard = "";
    const socket = net.connect(port, "127.0.0.1", () => socket.write(words));
    socket.on("data", (bytes) => {
      heard += bytes.toString();
    });
    socket.once("close", () => resolve(heard));
    socket.once("error", reject);
  });

describe("what cannot be read as a request", () => {
  it("is answered in the words of every other refusal", async () => {
    const { app } = await testServer();
    const port = Number(new URL(await app.listen({ host: "127.0.0.1", port: 0 })).port);
    const long = `GET /api/chips/${"x".repeat(20_000)} HTTP/1.1\r\nhost: 127.0.0.1\r\n\r\n`;
    const cases = [
      [long, 431, "too-large"],
      ["no request at all\r\n\r\n", 400, "invalid"],
      ["POST /api/chips HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-length: -1\r\n\r\n", 400, "invalid"],
    ] as const;
    for (const [words, status, code] of cases) {
      const [head = "", body = ""] = (await answerTo(port, words)).split("\r\n\r\n");
      expect(head).toContain(`HTTP/1.1 ${status} `);
      expect(JSON.parse(body).error).toMatchObject({ code, message: expect.stringMatching(/^\S.{8,}\.$/) });
    }
  });

  it("is a form whose boundary is longer than any may be", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const headers = { "content-type": `multipart/form-data; boundary=${"y".repeat(300)}` };
    const sent = await server.send("POST", `/api/builds/${cupboard}/pictures`, "--y\r\n", headers);
    expect([sent.status, sent.body.error.code]).toEqual([400, "invalid"]);
    expect((await server.send("POST", "/journal/merge", "--y\r\n", headers)).status).toBe(400);
  });

  it("is no fault of ours where the sender went away", () => {
    expect(refusalFrom(Object.assign(new Error("aborted"), { code: "ECONNRESET" }))?.code).toBe("invalid");
    expect(refusalFrom(new Error("aborted"))).toBeNull();
  });
});
