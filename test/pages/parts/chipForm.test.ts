import { describe, expect, it } from "vitest";
import { testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const input = (page: string, name: string): string | undefined =>
  new RegExp(`name="${name}"[^>]*?value="([^"]*)"`).exec(page)?.[1];

describe("the form of a chip", () => {
  it("takes a knob and an offset as people write them, and gives them back as they were", async () => {
    const server = await testServer();
    const fields = {
      ...{ name: "Tern 9", kind: "cpu", tempLimitC: "95", axis: "offset" },
      ...{
        offsetName: "Undervolt",
        offsetUnit: "counts",
        offsetStep: "1",
        offsetHarder: "down",
        offsetLow: "-50",
      },
      ...{ parts: "core 0 = cpu 4, core 1", sharedSupply: "yes", limits: "hotspot = 100" },
      ...{ knobRows: "2", "knobName-0": "Power limit", "knobUnit-0": "W", "knobHarder-0": "up" },
      ...{ "knobBelongs-0": "context", "knobUsual-0": "125", "knobName-1": "" },
      ...{ "knobHarder-1": "up", "knobBelongs-1": "setting" },
    };
    expect((await postForm(server, "/parts/chips/new", fields)).status).toBe(303);
    const [chip] = (await server.send("GET", "/api/chips")).body.items;
    expect(chip).toMatchObject({
      axis: "offset",
      offset: { name: "Undervolt", unit: "counts", step: 1, harder: "down", low: -50, high: null },
      parts: [
        { name: "core 0", kernel: "cpu 4" },
        { name: "core 1", kernel: null },
      ],
      ...{ sharedSupply: true, limits: { hotspot: 100 } },
      knobs: [{ id: "power-limit", name: "Power limit", unit: "W", usual: 125, belongs: "context" }],
    });
    const page = (await server.send("GET", `/parts/chips/${chip.id}`)).body as string;
    expect(input(page, "knobName-0")).toBe("Power limit");
    expect(input(page, "parts")).toBe("core 0 = cpu 4, core 1");
  });

  it("offers once what a blank stands for, and keeps it where it was typed", async () => {
    const server = await testServer();
    const blank = (await server.send("GET", "/parts/chips/new")).body as string;
    const offered = (field: string): string[] =>
      [
        ...(blank.split(`name="${field}"`)[1]?.split("</select>")[0] ?? "").matchAll(/<option[^>]*>(.*?)</g),
      ].map(([, title]) => String(title));
    expect(offered("axis")).toEqual(["a clock at a voltage", "an offset"]);
    expect(offered("clockUnit")).toEqual(["MHz", "MT/s"]);
    expect(offered("appliedBy")).toEqual(["the firmware", "software, which a reset undoes"]);
    const typed = { kind: "cpu", tempLimitC: "95", axis: "clock", clockUnit: "MHz", appliedBy: "firmware" };
    const refused = (await postForm(server, "/parts/chips/new", typed)).body as string;
    for (const value of ["clock", "MHz", "firmware"])
      expect(refused).toMatch(new RegExp(`<option value="${value}" selected`));
  });

  it("asks what is set beside the kind, before any fold, and opens the offset's where one is named", async () => {
    const server = await testServer();
    const blank = (await server.send("GET", "/parts/chips/new")).body as string;
    const seen = blank.slice(blank.indexOf('name="kind"'), blank.indexOf("<details", blank.indexOf("<form")));
    expect(seen).toContain('name="axis"');
    expect(blank).toMatch(/<details class="fold[^>]*"><summary>Set by an offset/);
    const typed = {
      name: "Lens 3",
      kind: "gpu",
      tempLimitC: "88",
      axis: "offset",
      offsetName: "Clock offset",
    };
    const refused = (await postForm(server, "/parts/chips/new", typed)).body as string;
    expect(refused).toMatch(/<details class="fold[^>]*" open[^>]*><summary>Set by an offset/);
    const set = { ...typed, offsetUnit: "MHz", offsetStep: "15", offsetHarder: "up" };
    expect((await postForm(server, "/parts/chips/new", set)).status).toBe(303);
    const [chip] = (await server.send("GET", "/api/chips")).body.items;
    expect(chip).toMatchObject({ kind: "gpu", axis: "offset" });
    const page = (await server.send("GET", `/parts/chips/${chip.id}`)).body as string;
    expect(page).toMatch(/<option value="offset" selected/);
  });

  it("asks what the offset is where a chip is to be set by one", async () => {
    const server = await testServer();
    const fields = { name: "Tern 9", kind: "cpu", tempLimitC: "95", axis: "offset", offsetUnit: "mV" };
    const refused = await postForm(server, "/parts/chips/new", fields);
    expect(refused.status).toBe(422);
    expect(refused.body).toContain("Harder to hold is more (up) or less (down).");
    expect(refused.body).toContain("The step must be a number.");
  });
});
