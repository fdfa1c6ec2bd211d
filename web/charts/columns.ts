import type { Line, LineChart } from "../../server/html/lineChart.ts";

type Values = readonly (number | null)[];

const isSame = (a: readonly number[], b: readonly number[]): boolean =>
  a === b || (a.length === b.length && a.every((value, i) => value === b[i]));

const unionOf = (lines: readonly Line[]): readonly number[] => {
  const first = lines[0]?.x ?? [];
  if (lines.every(({ x }) => isSame(x, first))) return first;
  return [...new Set(lines.flatMap(({ x }) => x))].toSorted((a, b) => a - b);
};

/** Undefined where a line has no row of its own, so that it is drawn through; null where it has one without a value. */
const spread = (line: Line, values: Values, x: readonly number[]): (number | null | undefined)[] => {
  if (isSame(line.x, x)) return [...values];
  const at = new Map(line.x.map((value, i) => [value, values[i]]));
  return x.map((value) => at.get(value));
};

/** The lines as columns over one shared x: for each line its mean, then its least and its greatest. */
export const columnsOf = ({ lines }: LineChart): (number | null | undefined)[][] => {
  const x = unionOf(lines);
  const columns = lines.flatMap((line) =>
    [line.mean, line.min ?? line.mean, line.max ?? line.mean].map((values) => spread(line, values, x)),
  );
  return [[...x], ...columns];
};
