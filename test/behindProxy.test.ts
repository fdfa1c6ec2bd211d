import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import https from "node:https";
import path from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "./support/bench.ts";
import { started } from "./support/program.ts";
import { proxyCertificate } from "./support/proxyCertificate.ts";

const passphrase = "four plain words here";

/** The proxy that the README shows, with other ports. */
function shownProxy(port: number, behind: number): string {
  const readme = readFileSync(path.resolve(import.meta.dirname, "../README.md"), "utf8");
  const [, shown = ""] = /```js\n(\/\/ node proxy\.mjs\n[\s\S]*?)```/.exec(readme) ?? [];
  expect(shown).toContain("[8443, 4780]");
  return shown
    .replace("[8443, 4780]", `[${port}, ${behind}]`)
    .replace("listen(port)", 'listen(port, () => console.log("ready"))');
}

it("behind the proxy that the README shows a device signs in, over TLS, and hears what changes at once", async () => {
  const folder = temporaryFolder();
  writeFileSync(path.join(folder, "words"), passphrase);
  const server = started([
    ...["--journal", path.join(folder, "journal.db"), "--port", "0"],
    ...["--passphrase-file", path.join(folder, "words"), "--known-as", "bench.example"],
  ]);
  const behind = Number(new URL(await server.address).port);
  const port = behind > 60_000 ? behind - 1_000 : behind + 1_000;
  writeFileSync(path.join(folder, "proxy.mjs"), shownProxy(port, behind));
  writeFileSync(path.join(folder, "key.pem"), proxyCertificate.key);
  writeFileSync(path.join(folder, "cert.pem"), proxyCertificate.cert);
  const proxy = spawn(process.execPath, ["proxy.mjs"], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
  try {
    await once(proxy.stdout, "data");
    const asked = async (url: string, more: https.RequestOptions = {}, body = "") => {
      const request = https.request({
        ...{ port, path: url, ca: proxyCertificate.cert, servername: "bench.example", ...more },
        headers: { host: `bench.example:${port}`, ...more.headers },
      });
      request.end(body);
      const [answer] = (await once(request, "response")) as [IncomingMessage];
      return answer;
    };
    expect((await asked("/")).statusCode).toBe(401);
    const form = {
      "content-type": "application/x-www-form-urlencoded",
      origin: `https://bench.example:${port}`,
    };
    const words = new URLSearchParams({ passphrase, to: "/journal" }).toString();
    const signedIn = await asked("/sign-in", { method: "POST", headers: form }, words);
    expect([signedIn.statusCode, signedIn.headers.location]).toEqual([303, "/journal"]);
    const [flags = ""] = signedIn.headers["set-cookie"] ?? [];
    expect(flags).toContain("; Secure");
    const cookie = flags.split(";")[0] ?? "";
    const stream = await asked("/api/events", { headers: { cookie } });
    expect(stream.statusCode).toBe(200);
    let heard = "";
    stream.on("data", (chunk) => {
      heard += chunk;
    });
    const json = { cookie, "content-type": "application/json" };
    expect(
      (await asked("/api/boards", { method: "POST", headers: json }, '{"name":"Quay S"}')).statusCode,
    ).toBe(201);
    await expect.poll(() => heard).toContain('"kind":"boards"');
    stream.destroy();
  } finally {
    proxy.kill("SIGKILL");
  }
});
