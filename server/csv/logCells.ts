/**
 * The cells of one line by RFC 4180: a cell may stand in quotes, a doubled quote inside is one.
 * Undefined where a quote is left open.
 */
export function cellsOf(line: string, separator: string): string[] | undefined {
  if (!line.includes('"')) return line.split(separator);
  const cells: string[] = [];
  let at = 0;
  for (;;) {
    const start = skipBlanks(line, at);
    const quoted = line[start] === '"' ? quotedCell(line, start) : bareCell(line, at, separator);
    if (quoted === undefined) return undefined;
    const end = line.indexOf(separator, quoted.end);
    cells.push(quoted.text);
    if (end < 0) return cells;
    at = end + 1;
  }
}

function skipBlanks(line: string, from: number): number {
  let at = from;
  while (line[at] === " ") at += 1;
  return at;
}

function bareCell(line: string, from: number, separator: string): { text: string; end: number } {
  const end = line.indexOf(separator, from);
  const stop = end < 0 ? line.length : end;
  return { text: line.slice(from, stop), end: stop };
}

function quotedCell(line: string, open: number): { text: string; end: number } | undefined {
  let text = "";
  let from = open + 1;
  for (;;) {
    const quote = line.indexOf('"', from);
    if (quote < 0) return undefined;
    text += line.slice(from, quote);
    if (line[quote + 1] !== '"') return { text, end: quote + 1 };
    text += '"';
    from = quote + 2;
  }
}
