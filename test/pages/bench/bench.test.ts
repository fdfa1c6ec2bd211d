import { describe, expect, it } from "vitest";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const beginning = {
  chipName: "Tern 8",
  kind: "cpu",
  tempLimitC: "95",
  stockClockMhz: "4,4 GHz",
  stockVoltageMv: "1150 mV",
  voltageCeilingMv: "1.35",
  boardName: "Quay S",
  buildName: "",
  workloadName: "Stacking",
  workloadKind: "all-core",
};

const setting = (workloadId: string, more: object = {}) => ({
  workloadId,
  clockMhz: "4600",
  voltageMv: "1.2",
  plannedS: "15",
  ...more,
});

const attemptsOf = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items;

describe("GET / on an empty journal", () => {
  it("asks what is on the bench and names the demo", async () => {
    const { send } = await testServer();
    const page = await send("GET", "/");
    expect(page.status).toBe(200);
    expect(page.body).toContain("What is on the bench?");
    expect(page.body).toContain("--demo");
    expect(page.body.match(/<h1/g)).toHaveLength(1);
  });

  it("makes chip, board, load and build in one go and proposes the stock setting", async () => {
    const server = await testServer();
    const began = await postForm(server, "/bench/beginning", beginning);
    expect(began.status).toBe(303);
    const chips = (await server.send("GET", "/api/chips")).body.items;
    expect(chips).toMatchObject([
      { name: "Tern 8", stockClockMhz: 4400, stockVoltageMv: 1150, voltageCeilingMv: 1350 },
    ]);
    const builds = (await server.send("GET", "/api/builds")).body.items;
    expect(builds).toMatchObject([{ name: "Tern 8 on Quay S" }]);
    const page = await server.send("GET", String(began.headers.location));
    expect(page.body).toMatch(/Next: .*4400.*MHz.*1\.150.*V.*15 min/s);
    expect(page.body).toContain("Set these in firmware, then arm.");
  });

  it("refuses with a word beside every wrong field, keeps what was typed and makes nothing", async () => {
    const server = await testServer();
    const refused = await postForm(server, "/bench/beginning", {
      ...beginning,
      chipName: "  ",
      boardName: "",
      tempLimitC: "hot",
    });
    expect(refused.status).toBe(422);
    for (const name of ["chipName", "boardName", "tempLimitC"])
      expect(refused.body).toContain(`id="field-${name}-error"`);
    expect(refused.body).toContain('value="hot"');
    expect(refused.body).toContain('value="4,4 GHz"');
    for (const things of ["chips", "boards", "workloads", "builds"])
      expect((await server.send("GET", `/api/${things}`)).body.items).toEqual([]);
  });
});

describe("arming", () => {
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

describe("the heat forecast", () => {
  const warmRun = { outcome: "pass", durationS: "15", ambientC: "22", loadTempC: "83" };

  it("stands before the button that arms, and its hot end decides the warning", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), ...warmRun });
    const page = (await server.send("GET", `/?build=${cupboard}`)).body as string;
    expect(page.indexOf('id="forecast"')).toBeGreaterThan(0);
    expect(page.indexOf('id="forecast"')).toBeLessThan(page.indexOf("Arm this attempt"));
    expect(page).toMatch(/hot end of this forecast/);
    const cool = await server.send(
      "GET",
      `/bench/forecast?build=${cupboard}&clockMhz=3000&voltageMv=0.9&workloadId=${heavy}&plannedS=15`,
    );
    expect(cool.body).toMatch(/to spare/);
    expect(cool.body).not.toMatch(/hot end of this forecast/);
  });

  it("answers dials that name no setting in words", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const piece = await server.send("GET", `/bench/forecast?build=${cupboard}&clockMhz=abc&voltageMv=1.2`);
    expect(piece.status).toBe(200);
    expect(piece.body).toContain("Set a clock and a voltage");
  });

  it("says why nothing can be said", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const page = (await server.send("GET", `/?build=${cupboard}`)).body;
    expect(page).toContain("No heat forecast for this setting");
  });

  it("is had without script by asking the bench itself, and records nothing", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const page = await server.send(
      "GET",
      `/?build=${cupboard}&clockMhz=4711&voltageMv=1.21&plannedS=20&workloadId=${heavy}`,
    );
    expect(page.body).toContain('value="4711"');
    expect(await attemptsOf(server, cupboard)).toEqual([]);
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
