import { voltageTyped } from "./quantityTyped.ts";

/** A row of voltages as it was typed: what it holds, lowest first, or why it cannot be read. */
export type VoltageRow = Readonly<{ voltagesMv: readonly number[]; refused: string | null }>;

const range = { lowMv: 100, highMv: 3000 };
const mostVoltages = 20;

/**
 * Voltages as people write them: 1.05, 1.1 and 1050 1100 and 1,05; 1,1. A comma between two digits is read as what it can
 * be; where it can be both, only a reading up to `highestMv`, as high as the chip may go, decides.
 */
export function voltageRowTyped(typed: string | undefined, highestMv = range.highMv): VoltageRow {
  const row = (typed ?? "").trim().replace(/\s+(?=m?v\b)/gi, "");
  const parts = row.split(/\s*;\s*|,\s+|\s+/).filter((part) => part !== "");
  const commasAreDecimal = row.includes(";") || (parts.length > 1 && parts.every(hasOneComma));
  const voltagesMv: number[] = [];
  for (const part of parts) {
    const read = readingsOf(part, commasAreDecimal);
    const within = read.filter((reading) => reading.every((mv) => mv <= highestMv));
    const [one, another] = read.length > 1 && within.length > 0 ? within : read;
    if (one === undefined) return refused(unreadable(part));
    if (another !== undefined) return refused(ambiguous(part));
    voltagesMv.push(...one);
  }
  const distinct = [...new Set(voltagesMv)].sort((a, b) => a - b);
  return distinct.length > mostVoltages
    ? refused(`At most ${mostVoltages} voltages make a map; these are ${distinct.length}.`)
    : { voltagesMv: distinct, refused: null };
}

const refused = (words: string): VoltageRow => ({ voltagesMv: [], refused: words });

const hasOneComma = (part: string): boolean => part.split(",").length === 2 && !part.includes(".");

/** What a part between separators can be: one voltage, or several with commas between. */
function readingsOf(part: string, commasAreDecimal: boolean): number[][] {
  const pieces = part.replace(/,$/, "").split(",");
  if (pieces.length === 1) return readable(pieces);
  const one = hasOneComma(part) && isDecimal(pieces) ? readable([part]) : [];
  return commasAreDecimal || !isList(pieces) ? one : [...one, ...readable(pieces)];
}

function readable(pieces: readonly string[]): number[][] {
  const read = pieces.map((piece) => voltageTyped(piece) ?? Number.NaN);
  return read.every((mv) => mv >= range.lowMv && mv <= range.highMv) ? [read] : [];
}

/** Millivolts are not written to the microvolt, and two of them may well stand side by side: 800,850. */
const isDecimal = ([before = "", after = ""]: readonly string[]): boolean =>
  before.length < 3 || after.replace(/\D/g, "").length < 3;

/** Nobody lists one voltage twice, nor volts beside millivolts; and "05" is what follows a decimal comma. */
const isList = (pieces: readonly string[]): boolean => {
  const inVolts = pieces.map((piece) => Number.parseFloat(piece) < 20);
  return (
    new Set(pieces).size === pieces.length &&
    !pieces.some((piece) => /^0\d/.test(piece)) &&
    inVolts.every((is) => is === inVolts[0])
  );
};

const example = "Write them like 1.05, 1.1, 1.15.";

const unreadable = (part: string): string =>
  part.includes(",")
    ? `“${part}” can be read in more than one way. Put a semicolon between voltages: 1.05; 1.1; 1.15.`
    : `“${part}” is no voltage from 0.1 to 3 V. ${example}`;

const ambiguous = (part: string): string =>
  `“${part}” may mean ${part.replace(",", ".")} V, or ${part.split(",").join(" V and ")} V. Write ${part.replace(",", ".")}, or ${part.split(",").join("; ")}.`;
