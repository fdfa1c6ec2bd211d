import { describe, expect, it } from "vitest";
import { smallWorld, testServer } from "../../support/bench.ts";
import { postForm } from "../../support/forms.ts";

const errorBeside = (page: string, field: string): string =>
  new RegExp(`id="field-${field}-error">([^<]*)`).exec(page)?.[1] ?? "";

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

  it("stays in millivolts where the field is typed in them", async () => {
    const server = await testServer();
    const chip = { name: "Rail 2", kind: "cpu", tempLimitC: "95", voltageStepMv: "x", voltageCeilingMv: "9" };
    const { body } = await postForm(server, "/parts/chips/new", chip);
    expect(errorBeside(body, "voltageStepMv")).toMatch(/ in mV\.$/);
    expect(errorBeside(body, "voltageCeilingMv")).toBe("The voltage must be at most 3.000 V.");
  });
});
