import { expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { leastCount } from "./counts.ts";

it("asks for a count that a right method misses now and then, and no more than once in a thousand", () => {
  const random = seededRandom(5);
  const least = leastCount(60, 0.9);
  let missed = 0;
  const rounds = 20_000;
  for (let round = 0; round < rounds; round++) {
    let held = 0;
    for (let trial = 0; trial < 60; trial++) if (random.uniform() < 0.9) held += 1;
    if (held < least) missed += 1;
  }
  expect(missed / rounds).toBeLessThanOrEqual(0.0016);
  expect(missed).toBeGreaterThan(0);
});
