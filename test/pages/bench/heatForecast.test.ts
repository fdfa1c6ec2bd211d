import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";
import { attemptsOf, setting } from "./benchForm.ts";

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

  it("heads the bench with what the dials stand at, and says beside it what was proposed", async () => {
    const server = await testServer();
    const { cupboard, heavy, light } = await smallWorld(server);
    await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), ...warmRun });
    const turned = {
      build: cupboard,
      clockMhz: "4711",
      voltageMv: "1.21",
      plannedS: "20",
      workloadId: heavy,
    };
    const page = (await server.send("GET", `/?${new URLSearchParams(turned)}`)).body as string;
    const headOf = (html: string) => plainText(/id="dialled".*?<\/span>(?!<\/span>)/s.exec(html)?.[0] ?? "");
    const timeOf = (html: string) =>
      plainText(/id="dialled-for".*?<\/b>.*?(?=<\/span>)/s.exec(html)?.[0] ?? "");
    expect(plainText(/<h1>.*?<\/h1>/s.exec(page)?.[0] ?? "")).toBe("Next: 4711 MHz at 1.210 V");
    expect(plainText(page)).toMatch(/For 20 min\. Proposed: [\d.]+ MHz at [\d.]+ V/);
    const proposed = /name="proposed" value="([^"]*)"/.exec(page)?.[1] ?? "";
    const [clockMhz = "", voltageMv = "", seconds = ""] = proposed.split("@");
    const asked = async (dials: object) => {
      const query = new URLSearchParams({ ...turned, proposed, ...dials });
      return (await server.send("GET", `/bench/forecast?${query}`)).body as string;
    };
    const other = await asked({});
    expect(headOf(other)).toContain("4711 MHz");
    expect(other.match(/hx-swap-oob="true"/g)).toHaveLength(2);
    expect(timeOf(other)).toContain("For 20 min");
    expect(plainText(other)).toContain(`Proposed: ${clockMhz} MHz`);
    const minutes = String(Number(seconds) / 60);
    const same = { clockMhz, voltageMv: String(Number(voltageMv) / 1000), plannedS: minutes };
    expect(plainText(await asked(same))).not.toContain("Proposed:");
    expect(plainText(await asked({ ...same, workloadId: light }))).toMatch(/under Browsing\. Proposed:/);
    expect(await asked({ proposed: "4650@x@900@@none" })).not.toContain("hx-swap-oob");
    const taking = async (averageMinutes: string) =>
      plainText(
        await asked({
          ...{ clockMhz: "4650", voltageMv: "1.2", plannedS: "40" },
          proposed: `4650@1200@2400@${averageMinutes}@${heavy}`,
        }),
      );
    expect(await taking("41.6")).toContain("For 40 min, 42 min with setting up.");
    expect(await taking("36.2")).toContain("For 40 min, 36 min on average.");
    expect(await taking("")).toContain("For 40 min.");
  });

  it("keeps the load that ran last on the dial and in what is proposed, until another runs", async () => {
    const server = await testServer();
    const { cupboard, heavy, light } = await smallWorld(server);
    const ran = (workloadId: string, clockMhz: number, more: object = {}) => {
      server.clock.pass(1800);
      return postForm(server, `/builds/${cupboard}/attempts`, {
        ...{ ...setting(workloadId), clockMhz: String(clockMhz), outcome: "pass", durationS: "15" },
        ...more,
      });
    };
    const proposedLoad = async (address: string) => {
      const { body } = await server.send("GET", address);
      return /data-later/.test(body) ? "late" : /name="proposed" value="[^"]*@([^"@]*)"/.exec(body)?.[1];
    };
    const settled = (address: string) => expect.poll(() => proposedLoad(address), { timeout: 20_000 });
    for (const clockMhz of [4400, 4450, 4500]) await ran(heavy, clockMhz);
    await settled(`/?build=${cupboard}`).toBe(heavy);
    await ran(light, 4525);
    await settled(`/?build=${cupboard}`).toBe(light);
    const { headers } = await ran(heavy, 4525, { load: light });
    expect(String(headers.location)).not.toContain("load=");
    await settled(String(headers.location)).toBe(heavy);
    const same = await ran(heavy, 4550, { load: heavy });
    expect(String(same.headers.location)).toContain(`load=${heavy}`);
  });

  it("answers dials that name no setting in words", async () => {
    const server = await testServer();
    const { cupboard } = await smallWorld(server);
    const piece = await server.send("GET", `/bench/forecast?build=${cupboard}&clockMhz=abc&voltageMv=1.2`);
    expect(piece.status).toBe(200);
    expect(piece.body).toContain("Set a clock and a voltage");
  });

  it("says that it may run below the chip's own cold limit, where one is written down", async () => {
    const server = await testServer();
    const { chip, cupboard, heavy } = await smallWorld(server);
    const cold = { ...warmRun, loadTempC: "-76" };
    for (let i = 0; i < 3; i++)
      await postForm(server, `/builds/${cupboard}/attempts`, { ...setting(heavy), ...cold });
    const words = async () => plainText((await server.send("GET", `/?build=${cupboard}`)).body);
    expect(await words()).not.toContain("cold limit");
    await server.send("PATCH", `/api/chips/${chip}`, { lowestTempC: -80 });
    expect(await words()).toContain(
      "It may run below −80 °C, the chip's own cold limit: a failure there says nothing of the clock.",
    );
    await server.send("PATCH", `/api/chips/${chip}`, { lowestTempC: -100 });
    expect(await words()).not.toContain("cold limit");
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
