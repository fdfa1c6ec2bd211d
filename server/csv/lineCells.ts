import { cellsInLine } from "./csvRecords.ts";

/** How the columns of one log stand apart; `json` is an object a line. */
export type Separator = "," | ";" | "\t" | "|" | " " | "json";

/** The cells of one line; undefined where it is cut off inside a cell. */
export type LineCells = (line: string) => readonly string[] | undefined;

/** What takes a line of a log apart; the names are asked of an object's fields alone. */
export function lineCellsOf(separator: Separator, names: readonly string[] = []): LineCells {
  if (separator === " ") return (line) => line.match(words) ?? [];
  if (separator === "|") return pipedCells;
  if (separator === "json") {
    return (line) => {
      const fields = fieldsInLine(line);
      return fields && names.map((name) => fields.get(name) ?? "");
    };
  }
  return (line) => cellsInLine(line, separator);
}

/** Between blanks a date belongs to its clock, a clock to its half of the day, and a number to its unit. */
const words =
  /(?:\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}[ \t]+)?\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?(?:[ \t]+[AaPp][Mm]\b)?|"[^"]*"|[+\-−]?\d+(?:[.,]\d+)?[ \t]+(?:°[CF]|[munkM]?W|[mu]?V|m?A|[kMG]?Hz|rpm|RPM|%)(?=[ \t]|$)|\S+/g;

function pipedCells(line: string): readonly string[] {
  const bare = line.trim().replace(/^\|/, "").replace(/\|$/, "");
  return bare.split("|").map((cell) => cell.trim());
}

/** The fields of an object by name, those of objects inside it after their own; undefined where it is none. */
export function fieldsInLine(line: string): ReadonlyMap<string, string> | undefined {
  try {
    const found: unknown = JSON.parse(line.trim().replace(/,$/, ""));
    return isObject(found) ? new Map(flattened(found, "")) : undefined;
  } catch {
    return undefined;
  }
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

function flattened(object: Record<string, unknown>, within: string): [string, string][] {
  return Object.entries(object).flatMap(([key, value]): [string, string][] => {
    const name = within === "" ? key : `${within}.${key}`;
    if (isObject(value) && within.length < 200) return flattened(value, name);
    return [[name, value === null || typeof value === "object" ? "" : String(value)]];
  });
}
