/** The sign between whole and fraction in one log. */
export type DecimalSign = "." | ",";

const plain = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;
const withCommas = /^[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$/;
const withPoints = /^[+-]?\d{1,3}(?:\.\d{3})+(?:,\d*)?$/;

/** The number in a cell; NaN where it holds none: blank, text, or an infinity. Minus zero is zero. */
export function numberIn(cell: string, decimal: DecimalSign): number {
  const text = cell.trim().replace(/^[−–]/, "-");
  const value = plainNumber(decimal === "," ? commaToPoint(text) : pointKept(text));
  return value === 0 ? 0 : value;
}

const withUnit = /^([+\-−–]?[\d.,]+(?:e[+-]?\d+)?)\s*([^\d\s.,][^\d]{0,7})$/i;

/** A number with a unit behind it, both as written; undefined where a cell holds no such thing. */
export function unitIn(cell: string): { number: string; unit: string } | undefined {
  const [, number, unit] = withUnit.exec(cell.trim()) ?? [];
  return number === undefined || unit === undefined ? undefined : { number, unit: unit.trim() };
}

function plainNumber(text: string): number {
  if (!plain.test(text)) return Number.NaN;
  const value = Number(text);
  return Number.isFinite(value) ? value : Number.NaN;
}

function pointKept(text: string): string {
  return withCommas.test(text) ? text.replaceAll(",", "") : text;
}

function commaToPoint(text: string): string {
  if (withPoints.test(text) && text.includes(",")) return text.replaceAll(".", "").replace(",", ".");
  return text.includes(",") ? text.replace(",", ".").replace(/,.*/, "x") : text;
}

/** What a set of cells says about the decimal sign: a comma that cannot group thousands, and no point, is a decimal comma. */
export function decimalSignOf(cells: Iterable<string>, separator: string): DecimalSign {
  let grouping = 0;
  for (const cell of cells) {
    const text = unitIn(cell)?.number ?? cell.trim();
    if (/^[+-]?\d+,\d+$/.test(text)) {
      if (!withCommas.test(text) || /^[+-]?0,/.test(text)) return ",";
      grouping += 1;
    } else if (/^[+-]?\d{1,3}(\.\d{3})+,\d+$/.test(text)) return ",";
    else if (/^[+-]?\d+\.\d+$/.test(text)) return ".";
  }
  return grouping > 0 && separator !== "," ? "," : ".";
}

/** What a yes-or-no cell says as 1 or 0; NaN where it is neither. */
export function flagIn(cell: string): number {
  const word = cell.trim().toLowerCase();
  if (/^(yes|true|on|active|ja|an)$/.test(word)) return 1;
  if (/^(no|false|off|inactive|none|nein|aus)$/.test(word)) return 0;
  return Number.NaN;
}
