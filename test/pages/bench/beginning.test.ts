import { describe, expect, it } from "vitest";
import { testServer } from "../../support/bench.ts";
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

describe("GET / on an empty journal", () => {
  it("asks what is on the bench and names the demo", async () => {
    const { send } = await testServer();
    const page = await send("GET", "/");
    expect(page.status).toBe(200);
    expect(page.body).toContain("What is on the bench?");
    expect(page.body).toContain("--demo");
    expect(page.body.match(/<h1/g)).toHaveLength(1);
  });

  it("has a set of memory pass over three full trainings, one from cold, before a setting counts", async () => {
    const server = await testServer();
    const memory = { kind: "memory", setBy: "rate", workloadKind: "memory" };
    await postForm(server, "/bench/beginning", { ...beginning, ...memory, stockClockMhz: "5600" });
    const [build] = (await server.send("GET", "/api/builds")).body.items;
    const { body: rule } = await server.send("GET", `/api/rules/${build.ruleId}`);
    expect(rule.requires).toMatchObject([{ durationS: 900, trainings: 3, coldStarts: 1 }]);
  });

  it("begins a chip set by offset with the chip as it comes, before anything is fitted, and says no goal that it has not", async () => {
    const server = await testServer();
    const card = { kind: "gpu", setBy: "clockOffset", workloadKind: "graphics" };
    const began = await postForm(server, "/bench/beginning", { ...beginning, ...card });
    const page = (await server.send("GET", String(began.headers.location))).body as string;
    const [, heading = ""] = /<h1[^>]*>(.*?)<\/h1>/s.exec(page) ?? [];
    expect(heading.replace(/<[^>]*>/g, "")).toBe("Next: 0 MHz");
    expect(page).toMatch(/name="offset"[^>]*value="0"/);
    expect(page).toContain("so begin with the chip as it comes");
    expect(page).toContain("<span>the hardest offset</span>");
    expect(page).not.toContain("the most per watt");
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

  it.each([
    ["clockOffset", "gpu", { axis: "offset", offset: { name: "Clock offset", unit: "MHz", harder: "up" } }],
    [
      "voltageOffset",
      "cpu",
      { axis: "offset", offset: { name: "Voltage offset", unit: "mV", harder: "down" } },
    ],
    ["rate", "memory", { axis: "clock", clockUnit: "MT/s", offset: null }],
  ])("begins with a chip that is set by %s, on the dial at once", async (setBy, kind, chip) => {
    const server = await testServer();
    const typed = { ...beginning, kind, setBy, stockClockMhz: "2400", stockVoltageMv: "1.05" };
    const began = await postForm(server, "/bench/beginning", typed);
    expect((await server.send("GET", "/api/chips")).body.items).toMatchObject([{ kind, ...chip }]);
    const { body } = await server.send("GET", String(began.headers.location));
    expect(body.includes('id="field-offset"')).toBe(chip.axis === "offset");
    expect(body.includes("MT/s")).toBe(setBy === "rate");
  });

  it("refuses with a word beside every wrong field, keeps what was typed and makes nothing", async () => {
    const server = await testServer();
    const refused = await postForm(server, "/bench/beginning", {
      ...beginning,
      chipName: "  ",
      boardName: "",
      tempLimitC: "hot",
    });
    const unheard = await postForm(server, "/bench/beginning", { ...beginning, setBy: "constructor" });
    expect(unheard.status).toBe(422);
    expect(unheard.body).toContain('id="field-setBy-error"');
    expect(refused.status).toBe(422);
    for (const name of ["chipName", "boardName", "tempLimitC"])
      expect(refused.body).toContain(`id="field-${name}-error"`);
    expect(refused.body).toContain('value="hot"');
    expect(refused.body).toContain('value="4,4 GHz"');
    for (const things of ["chips", "boards", "workloads", "builds"])
      expect((await server.send("GET", `/api/${things}`)).body.items).toEqual([]);
  });
});
