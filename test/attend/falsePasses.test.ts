import { expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { tricksTold } from "./falsePasses.ts";

it("no trick of a load becomes a pass or a crash", async () => {
  const told = await tricksTold(11, seededRandom(3));
  expect(told.filter(({ isFair }) => !isFair)).toEqual([]);
  expect(told).toHaveLength(11);
});
