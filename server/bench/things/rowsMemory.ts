/**
 * Remembers what was last worked out of some rows, for as long as anybody holds them. Rows are never changed in place, so
 * the very same array says the same; `key` is what else the answer rests on, and is compared as it is.
 */
export function rowsMemory<Answer>(): (rows: object, key: unknown, work: () => Answer) => Answer {
  const known = new WeakMap<object, Readonly<{ key: unknown; answer: Answer }>>();
  return (rows, key, work) => {
    const found = known.get(rows);
    if (found && found.key === key) return found.answer;
    const answer = work();
    known.set(rows, { key, answer });
    return answer;
  };
}
