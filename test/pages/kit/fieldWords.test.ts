import { describe, expect, it } from "vitest";
import { plainText } from "../../support/answersSaid.ts";
import { smallWorld, testServer } from "../../support/bench.ts";
import { errorBeside, postForm } from "../../support/forms.ts";
import { cardWorld, memoryWorld } from "../../support/settingWorlds.ts";

describe("what a form refuses", () => {
  it("is said in the unit in which its field is typed", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const refused = async (typed: Record<string, string>) =>
      (
        await postForm(server, `/builds/${cupboard}/attempts`, {
          workloadId: heavy,
          outcome: "pass",
          ...typed,
        })
      ).body as string;
    const low = await refused({ clockMhz: "4600", voltageMv: "0.01", plannedS: "99999999" });
    expect(errorBeside(low, "voltageMv")).toBe("The voltage must be at least 0.100 V.");
    expect(errorBeside(low, "plannedS")).toBe("The duration must be at most 30 d.");
    const high = await refused({ clockMhz: "4600", voltageMv: "12", plannedS: "10", loadVoltageMv: "x" });
    expect(errorBeside(high, "voltageMv")).toBe("The voltage must be at most 3.000 V.");
    expect(errorBeside(high, "loadVoltageMv")).toMatch(/ must be a number in V\.$/);
  });

  it("tells a ceiling in the unit in which the voltage was typed", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const run = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, run)).body;
    const refused = async (address: string, voltageMv: string) =>
      plainText(
        (
          await postForm(server, address, {
            workloadId: heavy,
            clockMhz: "4500",
            voltageMv,
            outcome: "pass",
            plannedS: "10",
          })
        ).body,
      );
    for (const [typed, meant, ceiling] of [
      ["1360", "1360 mV", "1350 mV"],
      ["1360 mV", "1360 mV", "1350 mV"],
      ["1,36", "1.360 V", "1.350 V"],
    ] as const) {
      const logged = await refused(`/builds/${cupboard}/attempts`, typed);
      expect(logged).toContain(`${meant} is above the ceiling of ${ceiling} that you set`);
      expect(logged).toContain(`${meant} is meant`);
      const corrected = await refused(`/attempts/${id}`, typed);
      expect(corrected).toContain(`${meant} lies above the ceiling of ${ceiling} set for this chip`);
      expect(corrected).toContain(`${meant} is meant`);
    }
  });

  it("stays in millivolts where the field is typed in them", async () => {
    const server = await testServer();
    const chip = { name: "Rail 2", kind: "cpu", tempLimitC: "95", voltageStepMv: "x", voltageCeilingMv: "9" };
    const { body } = await postForm(server, "/parts/chips/new", chip);
    expect(errorBeside(body, "voltageStepMv")).toMatch(/ in mV\.$/);
    expect(errorBeside(body, "voltageCeilingMv")).toBe("The voltage must be at most 3.000 V.");
  });

  it("is said in millivolts or gigahertz where it was typed in them, and the same above the form", async () => {
    const server = await testServer();
    const { cupboard, heavy } = await smallWorld(server);
    const refused = async (clockMhz: string, voltageMv: string) =>
      (
        await postForm(server, `/builds/${cupboard}/attempts`, {
          ...{ workloadId: heavy, outcome: "pass", plannedS: "10", clockMhz, voltageMv },
        })
      ).body as string;
    for (const typed of ["5000 mV", "5000", "5000mv"])
      expect(errorBeside(await refused("4600", typed), "voltageMv")).toBe(
        "The voltage must be at most 3000 mV.",
      );
    const inVolts = await refused("4600", "5 V");
    expect(errorBeside(inVolts, "voltageMv")).toBe("The voltage must be at most 3.000 V.");
    expect(inVolts).not.toContain("3000 mV");
    expect(errorBeside(await refused("25 GHz", "1.2"), "clockMhz")).toBe("The clock must be at most 20 GHz.");
    expect(errorBeside(await refused("25000", "1.2"), "clockMhz")).toBe(
      "The clock must be at most 20000 MHz.",
    );
  });

  it("is said in the unit of the chip: transfers of a memory, steps of an offset", async () => {
    const server = await testServer();
    const { build, load } = await memoryWorld(server);
    const memory = await postForm(server, `/builds/${build}/attempts`, {
      ...{ workloadId: load, outcome: "pass", plannedS: "10", clockMhz: "25000", voltageMv: "1.35" },
    });
    expect(errorBeside(memory.body, "clockMhz")).toBe("The clock must be at most 20000 MT/s.");
    const { rig, load: drawn } = await cardWorld(server);
    const offset = async (typed: string) =>
      (
        await postForm(server, `/builds/${rig}/attempts`, {
          ...{ workloadId: drawn, outcome: "pass", plannedS: "10", offset: typed },
        })
      ).body as string;
    expect(errorBeside(await offset("-30000"), "offset")).toBe("An offset must be at least −20000 MHz.");
    expect(errorBeside(await offset("much"), "offset")).toBe(
      "An offset must be a number in MHz, like -30 or 150.",
    );
  });

  it("is said so of edits and of corrections of many too", async () => {
    const server = await testServer();
    const { cupboard, heavy, chip } = await smallWorld(server);
    const attempt = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
    const { id } = (await server.send("POST", `/api/builds/${cupboard}/attempts`, attempt)).body;
    const edited = await postForm(server, `/attempts/${id}`, { voltageMv: "0.05", durationS: "99999999" });
    expect(errorBeside(edited.body, "voltageMv")).toBe("The voltage must be at least 0.100 V.");
    expect(errorBeside(edited.body, "durationS")).toBe("The duration must be at most 30 d.");
    expect(edited.body).not.toMatch(/\d mV\./);

    const correct = async (voltageMv: string) =>
      (
        await postForm(server, `/builds/${cupboard}/corrections`, {
          ...{ field: "voltageMv", voltageMv, [`pick-${id}`]: "yes", act: "apply" },
        })
      ).body as string;
    expect(errorBeside(await correct("5"), "voltageMv")).toBe("The voltage must be at most 3.000 V.");
    expect(await correct("5")).not.toContain("mV");
    expect(errorBeside(await correct("5000 mV"), "voltageMv")).toBe("The voltage must be at most 3000 mV.");

    const { body } = await postForm(server, `/parts/chips/${chip}`, {
      ...{ name: "Tern 8", kind: "cpu", tempLimitC: "95", stockVoltageMv: "9 V", voltageCeilingMv: "9000" },
    });
    expect(errorBeside(body, "stockVoltageMv")).toBe("The voltage must be at most 3.000 V.");
    expect(errorBeside(body, "voltageCeilingMv")).toBe("The voltage must be at most 3000 mV.");
    const rule = await postForm(server, "/parts/rules/new", { name: "Long", "duration-0": "99999999" });
    expect(errorBeside(rule.body, "duration-0")).toBe("The duration must be at most 30 d.");
  });
});
