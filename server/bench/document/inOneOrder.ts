/** The text of plain data with the names of every object in one order: the same fields say the same, however they were sent. */
export const inOneOrder = (value: unknown): string => JSON.stringify(value ?? null, sortedNames);

const sortedNames = (_: string, value: unknown): unknown =>
  typeof value === "object" && value !== null && !Array.isArray(value)
    ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
    : value;
