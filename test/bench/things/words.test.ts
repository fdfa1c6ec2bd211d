import { describe, expect, it } from "vitest";
import { withinSentence } from "../../../server/bench/things/words.ts";

describe("withinSentence(name)", () => {
  it("begins a name small that has its capital only from standing first", () => {
    for (const [name, within] of [
      ["Core offset", "core offset"],
      ["Power limit 105 %", "power limit 105 %"],
      ["Curve-optimum", "curve-optimum"],
      ["Überhang", "überhang"],
      ["the offset", "the offset"],
    ] as const)
      expect(withinSentence(name)).toBe(within);
  });

  it("leaves what is written with a capital anywhere", () => {
    for (const name of ["CL", "CL 32", "tRCD", "VDD supply", "SoC voltage", "Vddq2", "A", ""])
      expect(withinSentence(name)).toBe(name);
  });
});
