import { expect, it } from "vitest";
import { shuffledPlaces } from "../../server/numerics/shuffledPlaces.ts";

it("holds every place once, in an order that the seed repeats", () => {
  for (const count of [0, 1, 2, 7, 2000]) {
    const places = shuffledPlaces(count, 3);
    expect([...places].sort((a, b) => a - b)).toEqual(Array.from({ length: count }, (_, k) => k));
    expect(shuffledPlaces(count, 3)).toEqual(places);
  }
  expect(shuffledPlaces(2000, 4)).not.toEqual(shuffledPlaces(2000, 3));
});

it("gives each of the six orders of three about as often", () => {
  const counts = new Map<string, number>();
  for (let seed = 1; seed <= 6000; seed += 1) {
    const order = shuffledPlaces(3, seed).join("");
    counts.set(order, (counts.get(order) ?? 0) + 1);
  }
  expect(counts.size).toBe(6);
  // A thousand each, give or take five standard deviations of 29.
  for (const [order, count] of counts) expect(Math.abs(count - 1000), order).toBeLessThan(145);
});
