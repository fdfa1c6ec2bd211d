import type { SeededRandom } from "../numerics/seededRandom.ts";
import { uuidV7 } from "../store/rows/ids.ts";
import type { Keeper } from "./demoParts.ts";

/** Ids and dates for invented things, the same again for the same seed. */
export const seededKeeper =
  (random: SeededRandom): Keeper =>
  (at) => ({ id: uuidV7(Date.parse(at), randomBytes(random, 10)), createdAt: at, updatedAt: at, version: 1 });

const randomBytes = (random: SeededRandom, count: number): Uint8Array =>
  Uint8Array.from({ length: count }, () => random.index(256));
