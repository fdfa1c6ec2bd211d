import { describe, expect, it } from "vitest";
import { asksForHelp, attendHelp } from "../server/attend/attendHelp.ts";
import { attendFlags } from "../server/attend/attendSettings.ts";
import { flagNames, help } from "../server/settings.ts";
import { started } from "./support/program.ts";

describe("help", () => {
  it("names every flag and command, in lines that a terminal of 120 columns holds", () => {
    for (const [words, flags] of [
      [help, flagNames],
      [attendHelp, attendFlags],
    ] as const) {
      for (const flag of flags) expect(words).toMatch(new RegExp(`--${flag}\\b`));
      for (const line of words.split("\n")) expect(line.length).toBeLessThanOrEqual(120);
    }
    for (const command of ["backup", "check", "restore", "export", "import", "attend"])
      expect(help).toContain(`rungbook ${command}`);
  });

  it("is what the program says where it is asked for, and ends well", async () => {
    const { code, out, err } = await started(["--help"]).ended;
    expect([code, out, err]).toEqual([0, `${help}\n`, ""]);
    const attend = await started(["attend", "--help"]).ended;
    expect([attend.code, attend.out, attend.err]).toEqual([0, `${attendHelp}\n`, ""]);
  });

  it("is not asked for by a flag of the load's own", () => {
    expect(asksForHelp(["--once", "--", "load", "--help"])).toBe(false);
    expect(asksForHelp(["--help"])).toBe(true);
  });
});
