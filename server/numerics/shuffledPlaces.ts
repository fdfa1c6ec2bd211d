import { seededRandom } from "./seededRandom.ts";

/** The places from 0 up to, not including, `count` in an order by chance, every order as likely (Fisher and Yates). */
export function shuffledPlaces(count: number, seed: number): number[] {
  const random = seededRandom(seed);
  const places = Array.from({ length: count }, (_, k) => k);
  for (let k = count - 1; k > 0; k--) {
    const other = random.index(k + 1);
    [places[k], places[other]] = [places[other]!, places[k]!];
  }
  return places;
}
