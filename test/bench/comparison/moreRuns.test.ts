import { expect, it } from "vitest";
import type { MeasuredSides } from "../../../server/bench/comparison/measuredSide.ts";
import { whatWouldDecide } from "../../../server/bench/comparison/moreRuns.ts";

const asked = (a: number, b: number): string | null => {
  const sides = { a: { mounts: a }, b: { mounts: b } } as unknown as MeasuredSides;
  return whatWouldDecide("not-enough", 3, sides, { scatter: null, per: "mount" } as never, "°C");
};

it("whatWouldDecide(…) asks for a second mount of the build that has one alone, or of each", () => {
  expect(asked(1, 1)).toContain(
    "put it back on each build: runs on one mount are one mount, and there is one of each.",
  );
  expect(asked(1, 2)).toContain(
    "put it back on the first build: runs on one mount are one mount, and there are 1 and 2.",
  );
  expect(asked(1, 3)).toContain("put it back on the first build:");
  expect(asked(2, 1)).toContain("put it back on the second build:");
});
