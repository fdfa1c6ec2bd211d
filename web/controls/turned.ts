export type Grid = Readonly<{
  step: number;
  origin: number;
  min: number | undefined;
  max: number | undefined;
  decimals: number;
}>;

const decimalsOf = (value: number): number => (String(value).split(".")[1] ?? "").length;

const readNumber = (text: string): number | undefined => {
  const value = Number(text.trim().replace(",", ".").replace("−", "-"));
  return text.trim() === "" || !Number.isFinite(value) ? undefined : value;
};

const shown = (value: number, grid: Grid): string => {
  const needed = decimalsOf(Number(value.toFixed(6)));
  return value.toFixed(Math.max(grid.decimals, needed));
};

/** The next value on the grid, up or down; a value between two steps goes to the nearer one that way. Undefined for no number. */
export const turned = (text: string, by: -1 | 1, grid: Grid): string | undefined => {
  const value = readNumber(text);
  if (value === undefined || !(grid.step > 0)) return undefined;
  const steps = (value - grid.origin) / grid.step;
  const nearest = Math.round(steps);
  const onGrid = Math.abs(steps - nearest) < 1e-6;
  const next = onGrid ? nearest + by : by > 0 ? Math.ceil(steps) : Math.floor(steps);
  const wanted = grid.origin + next * grid.step;
  const inside = Math.min(grid.max ?? Infinity, Math.max(grid.min ?? -Infinity, wanted));
  return shown(inside, grid);
};
