import { expect, it } from "vitest";
import { chipDraft } from "../../../server/bench/things/chip.ts";

const refusal = (low: number | null, high: number | null): string | undefined =>
  chipDraft.safeParse({
    ...{ name: "Dunlin", kind: "cpu", tempLimitC: 95, axis: "offset" },
    offset: { name: "Curve", unit: "mV", step: 5, harder: "down", low, high },
  }).error?.issues[0]?.message;

it("the offsets of a chip go from one end to another, and either may be left open", () => {
  for (const [low, high] of [
    [-50, 0],
    [-50, null],
    [null, 0],
    [null, null],
  ] as const)
    expect(refusal(low, high)).toBeUndefined();
  for (const low of [0, 5]) expect(refusal(low, 0)).toBe("The lowest lies below the highest.");
});
