/**
 * Remembers what was last worked out of some rows, for as long as anybody holds them. Rows are never changed in place; a
 * list may grow at its end, and is then another one. `key` is what else the answer rests on, and is compared as it is.
 */
export function rowsMemory<Answer>(): (rows: readonly unknown[], key: unknown, work: () => Answer) => Answer {
  const known = new WeakMap<object, Readonly<{ key: unknown; count: number; answer: Answer }>>();
  return (rows, key, work) => {
    const found = known.get(rows);
    const count = rows.length;
    if (found && found.key === key && found.count === count) return found.answer;
    const answer = work();
    known.set(rows, { key, count, answer });
    return answer;
  };
}
