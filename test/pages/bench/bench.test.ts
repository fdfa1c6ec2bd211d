import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { attemptsOf, setting } from "./benchForm.ts";

describe("arming", () => {
  it("takes no bench time that no calendar holds", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    for (const have of ["9".repeat(56), "−5", "soon"])
      expect((await server.send("GET", `/?build=${cupboard}&have=${encodeURIComponent(have)}`)).status).toBe(
        200,
      );
  });

  it("commits before it answers, and the bench then shows the run and no second form", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const armed = await postForm(server, `/builds/${cupboard}/attempts`, {
      ...setting(heavy),
      outcome: "running",
    });
    expect(armed.status).toBe(303);
    expect(await attemptsOf(server, cupboard)).toMatchObject([
      { outcome: "running", clockMhz: 4600, voltageMv: 1200, plannedS: 900, durationS: null },
    ]);
    const page = await server.send("GET", String(armed.headers.location));
    expect(page.body).toContain('role="timer"');
    expect(page.body).not.toContain("Arm this attempt");
    expect(page.body.match(/<h1/g)).toHaveLength(1);
  });

  it("refuses a blank clock and keeps what was typed", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const refused = await postForm(server, `/builds/${cupboard}/attempts`, {
      ...setting(heavy, { clockMhz: "", note: "second paste", ambientC: "21,5" }),
      outcome: "running",
    });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain('id="field-clockMhz-error"');
    expect(refused.body).toContain("second paste");
    expect(refused.body).toContain('value="21,5"');
    expect(await attemptsOf(server, cupboard)).toEqual([]);
  });

  it("asks a second time above the ceiling, for that voltage alone, and keeps the answer", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/builds/${cupboard}/attempts`;
    const high = { ...setting(heavy, { voltageMv: "1,36 V" }), outcome: "running" };
    const asked = await postForm(server, address, high);
    expect(asked.status).toBe(422);
    const [, confirmation] = /name="aboveCeiling"[^>]*value="([^"]*)"/.exec(asked.body) ?? [];
    expect(confirmation).toBe("1360");
    const higher = await postForm(server, address, {
      ...high,
      voltageMv: "1.4",
      aboveCeiling: String(confirmation),
    });
    expect(higher.status).toBe(422);
    expect(await attemptsOf(server, cupboard)).toEqual([]);
    const meant = await postForm(server, address, { ...high, aboveCeiling: String(confirmation) });
    expect(meant.status).toBe(303);
    expect(await attemptsOf(server, cupboard)).toMatchObject([{ voltageMv: 1360, aboveCeiling: true }]);
  });

  it("tells a second page that another attempt runs, and keeps its dials", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/builds/${cupboard}/attempts`;
    await postForm(server, address, { ...setting(heavy), outcome: "running" });
    const second = { ...setting(heavy, { clockMhz: "4711" }), outcome: "running" };
    const refused = await postForm(server, address, second);
    expect(refused.status).toBe(422);
    expect(refused.body).toMatch(/role="alert".*An attempt of this build is running; end it first\./s);
    expect(refused.body).toMatch(/href="[^"]*clockMhz=4711[^"]*">The dials as you set them/);
    expect(await attemptsOf(server, cupboard)).toHaveLength(1);
  });

  it("records a form that is sent twice once", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const page = await server.send("GET", `/?build=${cupboard}`);
    const [, once] = /name="once" value="([^"]*)"/.exec(page.body) ?? [];
    const form = { ...setting(heavy), outcome: "pass", once: String(once) };
    const first = await postForm(server, `/builds/${cupboard}/attempts`, form);
    const again = await postForm(server, `/builds/${cupboard}/attempts`, form);
    expect([first.status, again.status]).toEqual([303, 303]);
    expect(again.headers.location).toBe(first.headers.location);
    expect(await attemptsOf(server, cupboard)).toHaveLength(1);
  });
});

describe("logging what has already ended", () => {
  it("takes a pass to have run as long as planned, begun that long ago", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), outcome: "pass" });
    expect(await attemptsOf(server, cupboard)).toMatchObject([
      { outcome: "pass", durationS: 900, plannedS: 900, startedAt: "2031-05-04T13:27:00.000Z" },
    ]);
  });

  it("keeps runs told one after the other in the order in which they were told", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const told = async (more: object) => {
      server.clock.pass(5);
      const sent = await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), ...more });
      expect(sent.status).toBe(303);
    };
    await told({ clockMhz: "4700", outcome: "freeze", durationS: "3" });
    await told({ clockMhz: "4700", outcome: "pass" });
    await told({ clockMhz: "4650", outcome: "pass", durationS: "60", plannedS: "60" });
    const said = "2031-05-04T10:00:00.000Z";
    await told({ clockMhz: "4600", outcome: "pass", startedAt: said });
    expect(await attemptsOf(server, cupboard)).toMatchObject([
      { clockMhz: 4650, outcome: "pass", durationS: 3600, startedAt: "2031-05-04T13:39:07.000Z" },
      { clockMhz: 4700, outcome: "pass", durationS: 900, startedAt: "2031-05-04T13:39:06.000Z" },
      { clockMhz: 4700, outcome: "freeze", durationS: 180, startedAt: "2031-05-04T13:39:05.000Z" },
      { clockMhz: 4600, startedAt: said },
    ]);
    server.clock.pass(7200);
    await told({ clockMhz: "4725", outcome: "pass" });
    expect((await attemptsOf(server, cupboard))[0]).toMatchObject({ startedAt: "2031-05-04T15:27:25.000Z" });
  });

  it("asks how long a crash took", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const address = `/builds/${cupboard}/attempts`;
    const refused = await postForm(server, address, { ...setting(heavy), outcome: "freeze" });
    expect(refused.status).toBe(422);
    expect(refused.body).toContain('id="field-durationS-error"');
    await postForm(server, address, { ...setting(heavy), outcome: "freeze", durationS: "3:24" });
    expect(await attemptsOf(server, cupboard)).toMatchObject([{ outcome: "freeze", durationS: 204 }]);
  });

  it("takes no start as a crash at time 0 without asking", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), outcome: "no-start" });
    expect(await attemptsOf(server, cupboard)).toMatchObject([{ outcome: "no-start", durationS: 0 }]);
  });

  it("reaches every field of an attempt", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const rare = {
      durationS: "20 min",
      startedAt: "2031-05-04 10:00 +02:00",
      ambientC: "22,5",
      loadTempC: "83",
      peakTempC: "85.2 °C",
      startTempC: "31",
      supplyTempC: "149 °F",
      loadVoltageMv: "1.164",
      voltageReadAt: "probe",
      loadLine: "third of six",
      currentA: "92 A",
      powerW: "0.11 kW",
      powerAt: "chip",
      fanRpm: "1400",
      fanMode: "fixed",
      effectiveClockMhz: "4.598 GHz",
      throttled: "no",
      correctedErrors: "0",
      startKind: "cold",
      clockMode: "fixed",
      alsoSet: "fabric clock = 2000, harder up\nload limit = off",
      score: "1234.5",
      note: "phone rang",
      tags: "first, long",
    };
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), outcome: "pass", ...rare });
    expect(await attemptsOf(server, cupboard)).toMatchObject([
      {
        durationS: 1200,
        startedAt: "2031-05-04T08:00:00.000Z",
        ambientC: 22.5,
        loadTempC: 83,
        peakTempC: 85.2,
        startTempC: 31,
        supplyTempC: 65,
        loadVoltageMv: 1164,
        voltageReadAt: "probe",
        loadLine: "third of six",
        currentA: 92,
        powerW: 110,
        powerAt: "chip",
        fanRpm: 1400,
        fanMode: "fixed",
        effectiveClockMhz: 4598,
        throttled: false,
        correctedErrors: 0,
        startKind: "cold",
        clockMode: "fixed",
        alsoSet: [
          { name: "fabric clock", value: 2000, harder: "up" },
          { name: "load limit", value: "off", harder: "none" },
        ],
        score: 1234.5,
        note: "phone rang",
        tags: ["first", "long"],
      },
    ]);
  });
});

describe("what came before", () => {
  it("is paged by what it last showed, each attempt leading to its own page", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    for (let i = 0; i < 25; i++)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        workloadId: heavy,
        clockMhz: 4000 + 25 * i,
        voltageMv: 1200,
        outcome: "pass",
        durationS: 900,
        startedAt: new Date(Date.UTC(2031, 4, 1, 8, i)).toISOString(),
      });
    const first = (await server.send("GET", `/?build=${cupboard}`)).body as string;
    const links = (page: string) => page.match(/href="\/attempts\/[^"]+"/g) ?? [];
    expect(links(first)).toHaveLength(20);
    const [, older = ""] = /href="(\/\?build=[^"]*after=[^"]*)"/.exec(first) ?? [];
    const second = (await server.send("GET", older.replaceAll("&amp;", "&"))).body as string;
    expect(links(second)).toHaveLength(5);
    expect(new Set([...links(first), ...links(second)]).size).toBe(25);
  });

  it("answers a build that is not there with 404", async () => {
    const server = await testServer();
    await smallWorld(server);
    expect((await server.send("GET", "/?build=0197f000-0000-7000-8000-00000000dead")).status).toBe(404);
    expect((await server.send("GET", "/?build=nonsense")).status).toBe(404);
  });
});

describe("a bench whose fit fails", () => {
  const failing = () => Promise.reject(new Error("no fit today"));

  it("has the plain rule's step ready, armed as ever, and says that it is only that", async () => {
    const server = await testServer(undefined, { reckon: failing });
    const { cupboard, heavy } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, {
      ...setting(heavy),
      ...{ outcome: "pass", durationS: "15" },
    });
    const page = await server.send("GET", `/?build=${cupboard}`);
    expect(page.status).toBe(200);
    expect(page.body).toMatch(/Next: .*46\d\d.*MHz/s);
    expect(page.body).toContain("could not be fitted to this record just now");
    const late = await server.send("GET", `/advice?build=${cupboard}`);
    expect([late.status, late.body]).toEqual([200, expect.stringContaining("plain rule")]);
    const armed = await postForm(server, `/builds/${cupboard}/attempts`, {
      ...setting(heavy),
      outcome: "running",
    });
    expect(armed.status).toBe(303);
  });
});
