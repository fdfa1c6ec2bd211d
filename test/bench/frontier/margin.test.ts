import { expect, it } from "vitest";
import { wholeDegrees } from "../../../server/bench/frontier/margin.ts";

it("wholeDegrees(marginC) tells less than half a degree from none, on either side of the limit", () => {
  expect([-2.5, -0.5, -0.4, 0, 0.4, 0.6, 9.4].map(wholeDegrees)).toEqual([
    ...["3", "1", "less than 1", "less than 1", "less than 1", "1", "9"],
  ]);
});
