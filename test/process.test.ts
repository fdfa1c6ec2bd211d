import { existsSync, readFileSync, writeFileSync } from "node:fs";
import http from "node:http";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { temporaryFolder } from "./support/bench.ts";
import { started } from "./support/program.ts";

const journalFile = () => path.join(temporaryFolder(), "records", "journal.db");

describe("the program", () => {
  it("makes its journal, says where it listens as its first line, and closes cleanly on SIGTERM and SIGINT", async () => {
    for (const signal of ["SIGTERM", "SIGINT"] as const) {
      const journal = journalFile();
      const server = started(["--journal", journal, "--port", "0"]);
      const address = await server.address;
      expect(await (await fetch(`${address}/api/health`)).json()).toMatchObject({ status: "ok" });
      server.child.kill(signal);
      const { code, out, err } = await server.ended;
      expect([code, out, err]).toEqual([0, `Listening on ${address}\n`, ""]);
      expect(existsSync(journal)).toBe(true);
    }
  });

  it("keeps what it acknowledged through kill -9, and asks about what was running", async () => {
    const journal = journalFile();
    const first = started(["--journal", journal, "--port", "0"]);
    const post = async (base: string, url: string, body: object) =>
      (
        await fetch(base + url, {
          method: "POST",
          headers: { "content-type": "application/json" },
          body: JSON.stringify(body),
        })
      ).json();
    const base = await first.address;
    const chip = await post(base, "/api/chips", { name: "Tern 8", kind: "cpu", tempLimitC: 95 });
    const board = await post(base, "/api/boards", { name: "Quay S" });
    const load = await post(base, "/api/workloads", { name: "Stacking", kind: "all-core" });
    const build = await post(base, "/api/builds", { name: "Cupboard", chipId: chip.id, boardId: board.id });
    const armed = await post(base, `/api/builds/${build.id}/attempts`, {
      workloadId: load.id,
      clockMhz: 4600,
      voltageMv: 1200,
      outcome: "running",
    });
    first.child.kill("SIGKILL");
    await first.ended;
    const second = started(["--journal", journal, "--port", "0"]);
    const again = await second.address;
    const { items } = await (await fetch(`${again}/api/interrupted`)).json();
    expect(items).toMatchObject([{ id: armed.id, lastHeartbeat: null }]);
  });

  it("serves the demo beside the real journal without touching it", async () => {
    const journal = journalFile();
    const server = started(["--demo", "--journal", journal, "--port", "0"]);
    const { items } = await (await fetch(`${await server.address}/api/builds`)).json();
    expect(items.length).toBeGreaterThan(2);
    server.child.kill("SIGTERM");
    expect((await server.ended).code).toBe(0);
    expect(existsSync(journal)).toBe(false);
  });

  it("lets other devices in by this machine's own names, and only with the passphrase", async () => {
    const words = path.join(temporaryFolder(), "words");
    writeFileSync(words, "four plain words here\n");
    const server = started([
      "--journal",
      journalFile(),
      "--port",
      "0",
      "--host",
      "0.0.0.0",
      "--passphrase-file",
      words,
      "--known-as",
      "bench.example",
    ]);
    const port = new URL(await server.address).port;
    const ask = (host: string, headers: Record<string, string> = {}) =>
      new Promise<number | undefined>((resolve, reject) => {
        const request = http.get(
          { port, path: "/api/health", headers: { host: `${host}:${port}`, ...headers } },
          (reply) => {
            reply.resume();
            resolve(reply.statusCode);
          },
        );
        request.on("error", reject);
      });
    const basic = (said: string) => ({
      authorization: `Basic ${Buffer.from(`bench:${said}`).toString("base64")}`,
    });
    expect(await ask("127.0.0.1")).toBe(401);
    expect(await ask("127.0.0.1", basic("four plain words"))).toBe(401);
    expect(await ask("127.0.0.1", basic("four plain words here"))).toBe(200);
    expect(await ask(os.hostname(), basic("four plain words here"))).toBe(200);
    expect(await ask("evil.example", basic("four plain words here"))).toBe(421);
    server.child.kill("SIGTERM");
    const { err } = await server.ended;
    expect(err.trim().split("\n")).toEqual([expect.stringMatching(/is not encrypted; README/)]);
  });

  it("lets in by the words that stand in the file at its start and by nothing from before, so that forgotten ones have a way back", async () => {
    const words = path.join(temporaryFolder(), "words");
    const journal = journalFile();
    const [forgotten, written] = ["words that nobody remembers", "four plain words here"];
    const withWords = async <Found>(said: string, work: (port: string) => Promise<Found>): Promise<Found> => {
      writeFileSync(words, `${said}\n`);
      const passphrase = ["--host", "0.0.0.0", "--passphrase-file", words];
      const server = started(["--journal", journal, "--port", "0", ...passphrase]);
      const found = await work(new URL(await server.address).port);
      server.child.kill("SIGTERM");
      expect((await server.ended).err).toMatch(/is not encrypted; README/);
      return found;
    };
    const statusOf = async (port: string, headers: Record<string, string>) =>
      (await fetch(`http://127.0.0.1:${port}/api/health`, { headers })).status;
    const bySaying = (port: string, said: string) =>
      statusOf(port, { authorization: `Basic ${Buffer.from(`bench:${said}`).toString("base64")}` });
    const byCookie = (port: string, secret: string) =>
      statusOf(port, { cookie: `rungbook-${port}=${secret}` });

    const secret = await withWords(forgotten, async (port) => {
      expect(await bySaying(port, forgotten)).toBe(200);
      expect(await bySaying(port, written)).toBe(401);
      const page = `http://127.0.0.1:${port}/sign-in`;
      expect(await (await fetch(page)).text()).toMatch(/--passphrase-file[\s\S]*Forgotten\?/);
      const body = new URLSearchParams({ passphrase: forgotten, to: "/" });
      const answer = await fetch(page, { method: "POST", body, redirect: "manual" });
      const [, kept = ""] = /^rungbook-\d+=([^;]+)/.exec(answer.headers.get("set-cookie") ?? "") ?? [];
      expect(await byCookie(port, kept)).toBe(200);
      return kept;
    });
    await withWords(written, async (port) => {
      expect(await bySaying(port, written)).toBe(200);
      expect(await bySaying(port, forgotten)).toBe(401);
      expect(await byCookie(port, secret)).toBe(401);
    });
  });

  it("says in one line why it cannot start, and exits 2", async () => {
    const taken = net.createServer().listen(0, "127.0.0.1");
    await new Promise((resolve) => taken.once("listening", resolve));
    const { port } = taken.address() as net.AddressInfo;
    const letter = path.join(temporaryFolder(), "letter.db");
    writeFileSync(letter, "This is a letter. ".repeat(100));
    const cases: [string[], RegExp][] = [
      [["--port", String(port), "--journal", journalFile()], /port is in use/],
      [["--port", "0", "--journal", letter], /not a journal/],
      [["--port", "99999"], /0 to 65535/],
      [["--host", "0.0.0.0"], /passphrase/],
      [["sing"], /not a command/],
      [["--loud"], /--loud/],
    ];
    for (const [args, words] of cases) {
      const { code, out, err } = await started(args).ended;
      expect([args, code, out]).toEqual([args, 2, ""]);
      expect(err).toMatch(words);
      expect(err.trim().split("\n")).toHaveLength(1);
    }
    expect(readFileSync(letter, "utf8")).toContain("This is a letter.");
    taken.close();
  });

  it.runIf(process.getuid?.() === 0)("says so where the folder may not be written", async () => {
    const folder = temporaryFolder();
    const { code, err } = await started(["--port", "0", "--journal", path.join(folder, "sub", "j.db")], {
      uid: 65534,
    }).ended;
    expect(code).toBe(2);
    expect(err.trim().split("\n")).toHaveLength(1);
  });
});
