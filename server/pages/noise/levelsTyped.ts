import { quantityTyped } from "../kit/quantityTyped.ts";

const units = { "": 1, db: 1, dba: 1, "db(a)": 1 } as const;

/** Levels read one after another as people write them: 38.2 38.5 38.1, or 38,2; 38,5, or with dB(A) behind each. */
export function levelsTyped(typed: string | undefined): number[] {
  const joined = (typed ?? "").replace(/\s*(dB\s*\(A\)|dBA|dB)/gi, " ");
  return joined
    .split(/[\s;/|]+/)
    .flatMap(levelsIn)
    .map((level) => quantityTyped(level, units) ?? Number.NaN);
}

/** A comma between levels is told from a decimal one: 38.2,38.5 are two levels and 38,2 is one. */
function levelsIn(piece: string): string[] {
  const bare = piece.replace(/^,+|,+$/g, "");
  if (bare === "") return [];
  const parts = bare.split(",");
  const isDecimal = parts.length === 2 && !bare.includes(".");
  return isDecimal ? [bare] : parts.filter((part) => part !== "");
}

export const levelsWritten = (levelsDba: readonly number[]): string => levelsDba.join(" ");

export const soundTyped = (typed: string | undefined): number | null => quantityTyped(typed, units);

/** Metres from 0.5, 50 cm or 0,5 m. */
export const distanceTyped = (typed: string | undefined): number | null => {
  const metres = quantityTyped(typed, { "": 1, m: 1, cm: 0.01, mm: 0.001 });
  return metres === null || Number.isNaN(metres) ? metres : Math.round(metres * 10_000) / 10_000;
};
