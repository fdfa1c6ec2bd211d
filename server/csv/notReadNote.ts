const beginning = "Not in this file: ";

/** How the last line of an export says what could not be read of a damaged journal. */
export const notReadNote = (words: string): string => beginning + words;

/** Whether a line says that and nothing else, and so is no attempt. */
export function isNotRead(cells: readonly string[]): boolean {
  const [only, ...more] = cells.filter((cell) => cell.trim() !== "");
  return more.length === 0 && only?.startsWith(beginning) === true;
}
