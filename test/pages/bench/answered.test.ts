import { describe, expect, it } from "vitest";
import { attendants } from "../../../server/answers/attendants.ts";
import { againstUnattendedAt } from "../../../server/answers/unattended.ts";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, type TestServer, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { heldServer } from "../../support/heldFits.ts";

const mainOf = (html: string): string => plainText(/<main.*<\/main>/s.exec(html)?.[0] ?? html);

/** A build whose search at 1.200 V is over: passes of an hour up to 4625 MHz, crashes from 4650 on. */
async function doneBuild(server: TestServer) {
  const world = await smallWorld(server);
  const ran = (clockMhz: number, outcome: string, durationS: number) =>
    server.send("POST", `/api/builds/${world.cupboard}/attempts`, {
      ...{ workloadId: world.heavy, clockMhz, voltageMv: 1200, outcome, durationS },
      ...{ loadTempC: 65, ambientC: 22 },
    });
  for (const clockMhz of [4550, 4600, 4600, 4625, 4625, 4625]) await ran(clockMhz, "pass", 3600);
  for (const [clockMhz, seconds] of [
    [4650, 500],
    [4675, 40],
    [4700, 5],
  ] as const)
    await ran(clockMhz, "freeze", seconds);
  const best = async () => (await server.send("GET", `/api/builds/${world.cupboard}/best`)).body;
  return { ...world, ran, best };
}

describe("the bench of a build whose search is over", () => {
  it("says what to run above everything else, how sure that is and on what, then what is left", async () => {
    const server = await testServer();
    const { cupboard, best } = await doneBuild(server);
    const { state, setting } = await best();
    expect(state).toBe("done");
    const shown = async () => (await server.send("GET", `/?build=${cupboard}`)).body as string;
    await expect.poll(shown, { timeout: 20_000 }).toContain("To go on:");
    const body = await shown();
    const heading = plainText(/<h1>.*?<\/h1>/s.exec(body)?.[0] ?? "");
    expect(heading).toBe(`Run ${setting.clockMhz} MHz at 1.200 V`);
    const words = mainOf(body);
    expect(words).toMatch(/Done\. An hour there passes 9\d in 100; \d+ °C to spare in a 30 °C room\./);
    expect(words).toContain("Under Stacking. From 9 attempts, the longest 60 min.");
    expect(words).toContain("What to enter");
    expect(words.indexOf("To go on:")).toBeGreaterThan(words.indexOf("Done."));
    expect(words).toContain("Good enough to stop");
    expect(words).toContain("Other voltages: 1.100, 1.150, 1.250, 1.300 V.");
    expect(words).toContain("Another load: Browsing, which has not run on this build.");
    expect(words).toContain("A second mount says how far mounts scatter.");
  });

  it("says the answer anew in its head, its line and what is left, where the fit comes after the page", async () => {
    const { server, hold, letGo } = await heldServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const before = (await best()).setting;
    await ran(before.clockMhz - 25, "pass", 900);
    hold();
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    expect(plainText(/<h1>.*?<\/h1>/s.exec(body)?.[0] ?? "")).toBe(`Run ${before.clockMhz} MHz at 1.200 V`);
    expect(plainText(body)).toContain("Good enough to stop");
    const later = /data-later="([^"]*)"/.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    expect((await server.send("GET", later)).status).toBe(204);
    letGo();
    for (const seconds of [100, 90, 120, 80]) await ran(before.clockMhz, "freeze", seconds);
    const now = await best();
    expect(now.setting.clockMhz).toBeLessThan(before.clockMhz);
    const late = async () => (await server.send("GET", later)).body as string;
    await expect.poll(late, { timeout: 20_000 }).toContain('id="answer-head"');
    const pieces = await late();
    const standing = (id: string) => new RegExp(`<(\\w+) id="${id}" data-only.*?</\\1>`, "s");
    for (const id of ["answer-head", "answer-body", "left-below"]) {
      expect(body, id).toMatch(standing(id));
      expect(pieces, id).toMatch(standing(id));
    }
    expect(plainText(pieces)).toContain(`Run ${now.setting.clockMhz} MHz at 1.200 V`);
    expect(plainText(pieces)).not.toContain(`Run ${before.clockMhz} MHz`);
    expect(pieces).toMatch(new RegExp(`id="answer-head"[^>]* data-state="${now.state}"`));
    expect(plainText(pieces).includes("Good enough to stop")).toBe(now.state === "done");
    expect(plainText(pieces).includes("Other voltages")).toBe(now.state === "done");
  });

  it("keeps to the answer while the record is weighed anew, and begins no search by the plain rule", async () => {
    const { server, hold, letGo } = await heldServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const { setting } = await best();
    await ran(4300, "pass", 900);
    hold();
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    expect(mainOf(body)).toContain(`Run ${setting.clockMhz} MHz at 1.200 V`);
    expect(mainOf(body)).not.toMatch(/Next:|To go on:/);
    expect(mainOf(body)).toContain("the answer stands as it was kept");
    expect(mainOf(body)).toContain("Weighing the whole record…");
    expect(/id="field-clockMhz"[^>]*/.exec(body)?.[0]).toContain(`value="${setting.clockMhz}"`);
    expect(/id="field-plannedS"[^>]*/.exec(body)?.[0]).toContain('value="60"');
    expect(body).toMatch(/id="answer-head"[^>]* data-reckoning/);
    letGo();
    expect((await best()).state).toBe("done");
    const weighed = async () => mainOf((await server.send("GET", `/?build=${cupboard}`)).body);
    await expect.poll(weighed, { timeout: 20_000 }).toContain("To go on:");
    expect(await weighed()).not.toContain("as it was kept");
  });

  it("marks a kept answer as being worked out anew, and says once that there is none yet", async () => {
    const { server, hold, letGo } = await heldServer();
    const { cupboard, frame, heavy, ran, best } = await doneBuild(server);
    const { setting } = await best();
    hold();
    await ran(4300, "pass", 900);
    const attempt = { workloadId: heavy, clockMhz: 4300, voltageMv: 1200, outcome: "pass", durationS: 900 };
    await server.send("POST", `/api/builds/${frame}/attempts`, attempt);
    const said = async (url: string) => plainText((await server.send("GET", url)).body);
    const anew = /being worked out (?:anew )?from the whole record/g;
    for (const url of [`/builds/${cupboard}`, `/builds/${cupboard}/note.txt`, "/builds"])
      expect(await said(url), url).toMatch(url === "/builds" ? /being worked out/ : /being worked out anew/);
    expect(await said(`/builds/${cupboard}`)).toContain(`Run ${setting.clockMhz} MHz at 1.200 V`);
    const answer =
      /<div id="answer".*?<a /s.exec((await server.send("GET", `/builds/${frame}`)).body)?.[0] ?? "";
    expect(plainText(answer).match(anew)).toEqual(["being worked out from the whole record"]);
    expect((await said(`/builds/${frame}/note.txt`)).match(anew)).toHaveLength(1);
    letGo();
  });

  it("says why nothing warmer is proposed among the reasons, not above the dial", async () => {
    const server = await testServer();
    const { cupboard, heavy, chip } = await smallWorld(server);
    await server.send("PATCH", `/api/chips/${chip}`, { tempLimitC: 88, warnMarginC: 10 });
    for (const clockMhz of [4300, 4400, 4500])
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome: "pass", durationS: 1200 },
        ...{ loadTempC: Math.round(22 + clockMhz / 100), ambientC: 22 },
      });
    const { blocked } = (await server.send("GET", `/api/builds/${cupboard}/next?voltageMv=1200`)).body;
    expect(blocked.join()).toContain("too near the limit of 88 °C");
    let body = "";
    for (let time = 0; time < 60 && (body === "" || body.includes("data-later")); time++)
      body = (await server.send("GET", `/?build=${cupboard}&atMv=1200`)).body;
    const why = /<details class="line-more"[^>]*data-fold="why".*?<\/details>/s.exec(body)?.[0] ?? "";
    expect(plainText(why)).toContain("too near the limit of 88 °C");
    expect(mainOf(body).split("too near the limit")).toHaveLength(2);
  });

  it("offers to leave a run to itself only where a machine attends that has shown its cut-out to work", async () => {
    const server = await testServer();
    const { cupboard, best } = await doneBuild(server);
    expect((await best()).state).toBe("done");
    const next = async () => (await server.send("GET", `/api/builds/${cupboard}/next?voltageMv=1200`)).body;
    const left = async () => {
      const { body } = await server.send("GET", `/?build=${cupboard}`);
      return /<li>(?:(?!<li>).)*Leave it running.*?<\/li>/s.exec(body)?.[0] ?? "";
    };
    const barred = await next();
    expect([barred.leaveRunning, barred.blocked.at(-1)]).toEqual([
      null,
      expect.stringMatching(/^Leaving \d+ MHz at 1\.200 V to itself: no machine attends .* cut-out/),
    ]);
    await expect.poll(left).toContain("Not with nobody there: no machine attends");
    expect(await left()).not.toContain("<a ");
    const told = { buildId: cupboard, bootId: "boot-1", canRead: [], state: "here", cutOutTried: true };
    expect((await server.send("PUT", "/api/attendants/bench-2", told)).status).toBe(200);
    const run = (await next()).leaveRunning;
    expect(Object.keys(run)).toEqual(
      expect.arrayContaining(["clockMhz", "voltageMv", "durationS", "chanceOfPass", "gainMhz"]),
    );
    await expect.poll(left).toMatch(/<a [^>]*>Leave it running/);
    const { journal } = server;
    const build = journal.builds.find(cupboard);
    const chip = build && journal.chips.find(build.chipId);
    if (!build || !chip) throw new Error("The build is gone.");
    // An hour at idle elsewhere says nothing for leaving a load alone there.
    const idle = await server.send("POST", "/api/workloads", { name: "Desktop", kind: "idle" });
    const elsewhere = { clockMhz: 4300, voltageMv: run.voltageMv };
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ ...elsewhere, workloadId: idle.body.id, outcome: "pass", durationS: 3600 },
      ...{ loadTempC: 30, ambientC: 22 },
    });
    const at = { journal, attendants: attendants(), now: server.clock.now() };
    expect(againstUnattendedAt(at, { build, chip }, elsewhere)).toContainEqual(
      expect.stringContaining("ten minutes"),
    );
  });

  it("leaves out of what is left a load that ran and a mount that was made", async () => {
    const server = await testServer();
    const { cupboard, light } = await doneBuild(server);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: light, clockMhz: 4400, voltageMv: 1200, outcome: "pass", durationS: 900 },
    });
    const mounted = { mountedAt: "2031-05-04T13:00:00Z" };
    expect((await server.send("POST", `/api/builds/${cupboard}/mounts`, mounted)).status).toBe(201);
    await server.send("GET", `/api/builds/${cupboard}/best`);
    const words = mainOf((await server.send("GET", `/?build=${cupboard}`)).body);
    expect(words).toContain("Good enough to stop");
    expect(words).not.toContain("Another load");
    expect(words).not.toContain("A second mount");
  });

  it("says why the answer changed, with the attempts that moved it", async () => {
    const server = await testServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const before = (await best()).setting;
    for (const seconds of [100, 90, 120, 80]) await ran(before.clockMhz, "freeze", seconds);
    const now = await best();
    expect(now.setting?.clockMhz ?? 0).toBeLessThan(before.clockMhz);
    for (const address of [`/?build=${cupboard}`, `/builds/${cupboard}`]) {
      const { body } = await server.send("GET", address);
      const told = plainText(/(Changed|Why did it change\?).*?<\/ul>/s.exec(body)?.[0] ?? "");
      expect(told, address).toContain(`${before.clockMhz} MHz at 1.200 V froze after 2 min.`);
      expect(told, address).not.toContain("4700 MHz");
    }
  });

  it("tells in the table what ran apart from what may be reached, and the answer as the headline does", async () => {
    const server = await testServer();
    const { cupboard, best, ran } = await doneBuild(server);
    await ran(4200, "pass", 900);
    await server.send("POST", `/api/builds/${cupboard}/attempts`, {
      workloadId: (await best()).setting.workloadId,
      ...{ clockMhz: 4400, voltageMv: 1150, outcome: "pass", durationS: 900, loadTempC: 60, ambientC: 22 },
    });
    const { setting, atVoltages } = await best();
    const { body } = await server.send("GET", `/builds/${cupboard}`);
    const table =
      /<table[^>]*id="frontier".*?<\/table>/s.exec(body)?.[0] ??
      /id="frontier".*?<\/table>/s.exec(body)?.[0] ??
      "";
    const heads = [...table.matchAll(/<th[^>]*scope="col"[^>]*>(.*?)<\/th>/gs)].map((cell) =>
      plainText(cell[1] ?? ""),
    );
    const rows = table.split("<tr").filter((row) => row.includes("<td"));
    const cellsOf = (volts: string): string[] =>
      [
        ...(rows.find((row) => plainText(row).includes(volts)) ?? "").matchAll(
          /<t[dh][^>]*>(.*?)<\/t[dh]>/gs,
        ),
      ].map((cell) => plainText(cell[1] ?? ""));
    const answerAt = heads.findIndex((head) => head.startsWith("Answer"));
    const reachAt = heads.findIndex((head) => head.startsWith("May reach"));
    expect(cellsOf("1.200")[answerAt]).toBe(String(setting.clockMhz));
    expect(cellsOf("1.150")[answerAt]).toBe("4400");
    const open = atVoltages.find(({ voltageMv }: { voltageMv: number }) => voltageMv === 1150);
    expect(open).toMatchObject({ clockMhz: 4400, done: false });
    expect(cellsOf("1.150")[reachAt]).toBe(
      open.lowMhz === open.highMhz ? String(open.highMhz) : `${open.lowMhz} to ${open.highMhz}`,
    );
  });

  it("tells in the lead the margin that the table shows of the setting, and a forecast as one", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const ran = (clockMhz: number, loadTempC: number, outcome = "pass", durationS = 3600) =>
      server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS },
        ...{ loadTempC, ambientC: 22 },
      });
    for (const loadTempC of [62, 63, 62, 71]) await ran(4600, loadTempC);
    for (const [clockMhz, seconds] of [
      [4650, 500],
      [4675, 40],
      [4700, 5],
    ] as const)
      await ran(clockMhz, 66, "freeze", seconds);
    const { setting } = (await server.send("GET", `/api/builds/${cupboard}/best`)).body;
    expect(setting).toMatchObject({ clockMhz: 4600, voltageMv: 1200, marginFrom: "read" });
    const { body } = await server.send("GET", `/builds/${cupboard}`);
    const table = /id="frontier".*?<\/table>/s.exec(body)?.[0] ?? "";
    const shown = plainText([...table.matchAll(/<td[^>]*>(.*?)<\/td>/gs)].at(-1)?.[1] ?? "");
    expect(mainOf(body)).toContain(`; ${shown} °C to spare in a 30 °C room.`);
    expect(shown).toBe("16");
    await server.send("PATCH", `/api/builds/${cupboard}`, { use: "daily" });
    const daily = (await server.send("GET", `/api/builds/${cupboard}/best`)).body.setting;
    expect(daily).toMatchObject({ voltageMv: 1212.5, marginFrom: "forecast" });
    expect(mainOf((await server.send("GET", `/builds/${cupboard}`)).body)).toContain(
      "°C to spare in a 30 °C room, by forecast.",
    );
  });

  it("says at once what a crash contests, what to run until it is settled, and offers the same once", async () => {
    const server = await testServer();
    const { cupboard, heavy, best } = await doneBuild(server);
    const before = (await best()).setting;
    const sent = await postForm(server, `/builds/${cupboard}/attempts`, {
      clockMhz: String(before.clockMhz),
      voltageMv: "1.2",
      workloadId: heavy,
      outcome: "freeze",
      durationS: "41",
    });
    expect(sent.status).toBe(303);
    const now = (await server.send("GET", `/api/builds/${cupboard}/best?wait=0`)).body;
    expect(now.reckoning).toBe(true);
    expect(now.setting?.clockMhz ?? 0).toBeLessThan(before.clockMhz);
    expect(now.changedBecause[0].words).toContain(`${before.clockMhz} MHz at 1.200 V froze after 41 min`);
    const { body } = await server.send("GET", String(sent.headers.location));
    expect(mainOf(body)).toMatch(
      /Contested\. That or harder passed (once|twice|\d times)\. Until it is settled, run 4\d+ MHz/,
    );
    const address = /href="([^"]*again=[^"]*)"/.exec(body)?.[1]?.replaceAll("&amp;", "&") ?? "";
    await best();
    const again = await server.send("GET", address);
    expect(plainText(/<h1>.*?<\/h1>/s.exec(again.body)?.[0] ?? "")).toBe(
      `Next: ${before.clockMhz} MHz at 1.200 V`,
    );
  });

  it("never heads with a setting that heat ended", async () => {
    const server = await testServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const { clockMhz } = (await best()).setting;
    await ran(clockMhz, "too-hot", 300);
    const now = (await best()).setting;
    expect(now === null || now.clockMhz < clockMhz || now.voltageMv < 1200).toBe(true);
    const { body } = await server.send("GET", `/?build=${cupboard}`);
    expect(mainOf(body)).not.toContain(`Run ${clockMhz} MHz at 1.200 V`);
  });
});

describe("the aim of a build", () => {
  it("is changed by one tap, stays with the build, and another question is called that", async () => {
    const server = await testServer();
    const { cupboard, best } = await doneBuild(server);
    const sent = await postForm(server, `/builds/${cupboard}/aim`, { back: "bench", use: "unattended" });
    expect(sent.headers.location).toBe(`/?build=${cupboard}`);
    expect((await server.send("GET", `/api/builds/${cupboard}`)).body).toMatchObject({
      use: "unattended",
      goal: "clock",
    });
    const own = await best();
    expect(own).toMatchObject({ isAim: true, aim: { use: "unattended", goal: "clock" } });
    const other = (await server.send("GET", `/api/builds/${cupboard}/best?use=benchmark`)).body;
    expect(other).toMatchObject({ isAim: false, aim: { use: "benchmark", goal: "clock" } });
    expect(other).toMatchObject({ restsOn: own.restsOn, byOffset: null, knobs: null });
    expect(Object.keys(other).sort()).toEqual(Object.keys(own).sort());
    expect(other.because.at(-1)).toContain("This is not the aim of the build");
    expect((await postForm(server, `/builds/${cupboard}/aim`, { use: "glory" })).status).toBe(400);
  });
});

describe("GET /api/builds/:id/next?wait=0", () => {
  it("says that it is settled as long as the kept answer stands, and no longer", async () => {
    const { server, hold, letGo } = await heldServer();
    const { cupboard, ran, best } = await doneBuild(server);
    const { setting } = await best();
    const atOnce = async (asked = "voltageMv=1200&") =>
      (await server.send("GET", `/api/builds/${cupboard}/next?${asked}wait=0`)).body;
    await ran(4300, "pass", 900);
    hold();
    const { clockMhz, chance } = setting;
    expect(await atOnce()).toMatchObject({ reckoning: true, settled: { clockMhz, chance } });
    expect(await atOnce("voltageMv=1150&")).not.toHaveProperty("settled");
    await ran(clockMhz, "freeze", 300);
    const contested = await atOnce();
    expect(contested).not.toHaveProperty("settled");
    expect(contested.clockMhz).toBeLessThan(clockMhz);
    letGo();
  });

  it("answers at once by the plain rule, clear of what failed, and says that it is being worked out", async () => {
    const server = await testServer(undefined, { reckon: () => new Promise(() => undefined) });
    const { cupboard, heavy } = await smallWorld(server);
    for (const [clockMhz, outcome] of [
      [4600, "pass"],
      [4575, "freeze"],
    ] as const)
      await server.send("POST", `/api/builds/${cupboard}/attempts`, {
        ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS: 900 },
      });
    const { status, body } = await server.send("GET", `/api/builds/${cupboard}/next?wait=0`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ reckoning: true, voltageMv: 1200, answer: { setting: null } });
    expect(body.clockMhz).toBeLessThan(4575);
  });
});
