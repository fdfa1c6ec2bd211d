import { conversionOf, unitSpelled } from "../bench/logs/channel.ts";
import type { AttemptColumn } from "./attemptColumns.ts";
import { unguarded } from "./csvLine.ts";
import { durationIn } from "./durationCell.ts";
import { type DecimalSign, flagIn, numberIn } from "./logNumber.ts";

/** What one cell says for a field of an attempt; undefined where it cannot be read as that. */
export function cellReading(
  column: AttemptColumn,
  unit: string,
  written: string,
  decimal: DecimalSign,
): unknown {
  const cell = written.trim();
  const { reads } = column;
  switch (reads.as) {
    case "quantity":
      return sound(quantityIn(cell, reads.channel, unit, decimal));
    case "duration":
      return sound(durationIn(cell, unit as "s", decimal));
    case "number":
      return sound(numberIn(cell, decimal));
    case "flag":
      return flagMeant(cell);
    case "choice":
      return reads.of.find((one) => one === cell.toLowerCase());
    case "tags":
      return tagsIn(cell);
    case "settings":
      return listIn(cell);
    case "object":
      return objectIn(cell);
    case "text":
      return unguarded(written);
    default:
      return cell;
  }
}

const sound = (value: number): number | undefined => (Number.isFinite(value) ? value : undefined);

/** A number, in the unit behind it where one is written, else in that of the column. */
function quantityIn(cell: string, channel: string, unit: string, decimal: DecimalSign): number {
  const written = cell.replace("−", "-");
  const plain = numberIn(written, decimal);
  if (!Number.isNaN(plain)) return converted(plain, channel, unit);
  const [, number = "", behind = ""] = /^(.*?\d[.,]?)\s*([^\d\s.,].*)$/.exec(written) ?? [];
  const spelled = unitSpelled(behind);
  return spelled === undefined ? Number.NaN : converted(numberIn(number, decimal), channel, spelled);
}

/** A conversion leaves no trail of binary digits: twelve significant ones are more than any meter gives. */
function converted(value: number, channel: string, unit: string): number {
  const conversion = conversionOf(channel, unit);
  if (conversion === undefined) return Number.NaN;
  if (conversion.factor === 1 && conversion.shift === 0) return value;
  return Number(((value + conversion.shift) * conversion.factor).toPrecision(12));
}

function flagMeant(cell: string): boolean | undefined {
  const flag = /^[1xy✓]$/i.test(cell) ? 1 : /^[0n-]$/i.test(cell) ? 0 : flagIn(cell);
  return Number.isNaN(flag) ? undefined : flag === 1;
}

function tagsIn(cell: string): unknown {
  if (cell.startsWith("[")) return listIn(cell);
  return unguarded(cell)
    .split(/[;,]/)
    .map((tag) => tag.trim())
    .filter((tag) => tag !== "");
}

function listIn(cell: string): unknown {
  try {
    const list: unknown = JSON.parse(cell);
    return Array.isArray(list) ? list : undefined;
  } catch {
    return undefined;
  }
}

/** One value for each name, as JSON. */
function objectIn(cell: string): unknown {
  try {
    const object: unknown = JSON.parse(cell);
    return typeof object === "object" && object !== null && !Array.isArray(object) ? object : undefined;
  } catch {
    return undefined;
  }
}
