import { describe, expect, it } from "vitest";
import { testServer } from "./support/bench.ts";

const passphrase = "moss and granite";
const basic = (words: string, scheme = "Basic") => ({
  authorization: `${scheme} ${Buffer.from(`anyone:${words}`).toString("base64")}`,
});
const form = { "content-type": "application/x-www-form-urlencoded" };

const guarded = () => testServer(undefined, { passphrase });

async function signedIn(server: Awaited<ReturnType<typeof guarded>>, words = passphrase) {
  const answer = await server.app.inject({
    method: "POST",
    url: "/sign-in",
    headers: { ...form, "user-agent": "Some browser" },
    payload: new URLSearchParams({ passphrase: words, to: "/builds" }).toString(),
  });
  const cookie = String(answer.headers["set-cookie"] ?? "");
  return { answer, cookie: cookie.split(";")[0] ?? "", flags: cookie };
}

describe("who may come in from other devices", () => {
  it("a script with the whole passphrase alone: no beginning of it, no more than it, no other scheme", async () => {
    const { app } = await guarded();
    const asked = async (headers: Record<string, string>) =>
      (await app.inject({ url: "/api/health", headers })).statusCode;
    expect(await asked(basic(passphrase))).toBe(200);
    expect(await asked(basic(passphrase, "bAsIc"))).toBe(200);
    for (const words of ["moss and granit", "m", "", "moss and granite!", "Moss and granite"])
      expect([words, await asked(basic(words))]).toEqual([words, 401]);
    expect(await asked(basic(passphrase, "Bearer"))).toBe(401);
    expect(await asked({})).toBe(401);
  });

  it("guessing is slowed, for the guesser alone, and never for who is known", async () => {
    const { app } = await guarded();
    const asked = (words: string, remoteAddress: string) =>
      app.inject({ url: "/api/health", headers: basic(words), remoteAddress });
    expect((await asked(passphrase, "10.0.0.7")).statusCode).toBe(200);
    for (let i = 0; i < 12; i++) await asked(`guess ${i}`, "10.0.0.7");
    const late = await asked("granite and moss", "10.0.0.7");
    expect([late.statusCode, late.json().error.message]).toEqual([
      401,
      expect.stringMatching(/^Too many wrong passphrases/),
    ]);
    expect((await asked(passphrase, "10.0.0.7")).statusCode).toBe(200);
    expect((await asked(passphrase, "10.0.0.8")).statusCode).toBe(200);
  });

  it("heartbeats of a known script cost no slow hash", async () => {
    const { app } = await guarded();
    await app.inject({ url: "/api/health", headers: basic(passphrase) });
    const startedAt = performance.now();
    for (let i = 0; i < 100; i++)
      expect((await app.inject({ url: "/api/health", headers: basic(passphrase) })).statusCode).toBe(200);
    expect((performance.now() - startedAt) / 100).toBeLessThan(20);
  });

  it("a browser is asked once, led back to where it was going, and known by a cookie no script reads", async () => {
    const server = await guarded();
    const asked = await server.app.inject("/builds?goal=cool");
    expect([asked.statusCode, asked.headers["www-authenticate"]]).toEqual([401, undefined]);
    expect(asked.body).toContain('name="to" value="/builds?goal=cool"');
    const { answer, cookie, flags } = await signedIn(server);
    expect([answer.statusCode, answer.headers.location]).toEqual([303, "/builds"]);
    expect(flags).toMatch(/; Max-Age=\d+; Path=\/; HttpOnly; SameSite=Strict$/);
    expect((await server.app.inject({ url: "/builds", headers: { cookie } })).statusCode).toBe(200);
    expect(
      (await server.app.inject({ url: "/api/events", method: "HEAD", headers: { cookie } })).statusCode,
    ).toBe(200);
  });

  it("leads nobody to another server, and keeps the cookie to encrypted lines behind a proxy that says so", async () => {
    const { app } = await guarded();
    const sent = (to: string) =>
      app.inject({
        method: "POST",
        url: "/sign-in",
        headers: { ...form, "x-forwarded-proto": "https" },
        payload: new URLSearchParams({ passphrase, to }).toString(),
      });
    for (const to of ["//evil.example", "https://evil.example", "/\\evil.example"])
      expect((await sent(to)).headers.location).toBe("/");
    expect(String((await sent("/")).headers["set-cookie"])).toContain("; Secure");
  });

  it("wrong words are refused beside the field", async () => {
    const { answer, cookie } = await signedIn(await guarded(), "moss");
    expect([answer.statusCode, cookie]).toEqual([422, ""]);
    expect(answer.body).toContain('aria-invalid="true"');
  });

  it("sessions are listed on the Journal page, and one that was ended is let in no more", async () => {
    const server = await guarded();
    const { cookie } = await signedIn(server);
    const page = await server.app.inject({ url: "/journal", headers: { cookie } });
    expect(page.body).toContain("This device");
    expect(page.body).toContain("Some browser");
    const [, id = ""] = /name="id" value="([^"]+)"/.exec(page.body) ?? [];
    const ended = await server.app.inject({
      method: "POST",
      url: "/sessions/ending",
      headers: { ...form, cookie },
      payload: new URLSearchParams({ id }).toString(),
    });
    expect(ended.statusCode).toBe(303);
    expect((await server.app.inject({ url: "/journal", headers: { cookie } })).statusCode).toBe(401);
  });

  it("a form that comes without being let in is told that nothing was kept", async () => {
    const { app } = await guarded();
    const sent = await app.inject({
      method: "POST",
      url: "/parts/boards",
      headers: form,
      payload: "name=Quay",
    });
    expect([sent.statusCode, sent.body]).toEqual([
      401,
      expect.stringMatching(/role="alert"[\s\S]*Nothing was kept/),
    ]);
    expect((await app.inject("/builds")).body).not.toContain("Nothing was kept");
  });

  it("only the look of the page that asks is open", async () => {
    const { app } = await guarded();
    for (const url of ["/", "/builds", "/api/builds", "/api/openapi.json", "/sign-in/x", "/webx"])
      expect([url, (await app.inject(url)).statusCode]).toEqual([url, 401]);
    expect((await app.inject("/sign-in")).statusCode).toBe(200);
  });
});
