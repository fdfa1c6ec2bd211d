import type { SeededRandom } from "../../server/numerics/seededRandom.ts";

export const oneOf = <Kind>(random: SeededRandom, kinds: readonly Kind[]): Kind =>
  kinds[random.index(kinds.length)] as Kind;

/** The fields that are said this time, each by its own chance. */
export const saidOf = (random: SeededRandom, fields: Readonly<Record<string, readonly [number, unknown]>>) =>
  Object.fromEntries(
    Object.entries(fields).flatMap(([name, [chance, value]]) =>
      random.uniform() < chance ? [[name, value]] : [],
    ),
  );
