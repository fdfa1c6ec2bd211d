import { describe, expect, it } from "vitest";
import { levelInWords } from "../../../server/bench/scale/scaleWords.ts";

describe("levelInWords(scale, level)", () => {
  it("gives what counts from nothing its sign, as firmware shows it", () => {
    const offset = { name: "offset", unit: "mV" } as const;
    expect([-30, 0, 12.5, 0.1 + 0.2].map((level) => levelInWords(offset, level))).toEqual([
      ...["offset −30 mV", "offset 0 mV", "offset +12.5 mV", "offset +0.3 mV"],
    ]);
    expect(levelInWords({ name: "offset", unit: "counts" }, -20)).toBe("offset −20");
  });

  it("gives a knob that has a usual value none", () => {
    expect(levelInWords({ name: "CL", unit: "", usual: 40 } as never, 32)).toBe("CL 32");
  });
});
