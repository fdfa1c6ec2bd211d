/** So many answers are kept; the one not asked for longest goes first. */
const mostKept = 16;

/**
 * Rows read in bulk, kept until something is committed: a page asks for the same ones several times, and so does the
 * next page. Inside a write they are read anew, since it may have changed them.
 */
export function remembered<Asked extends readonly (string | number)[], Rows>(
  read: (...asked: Asked) => Rows,
  journal: Readonly<{ revision(): number; isWriting(): boolean }>,
): (...asked: Asked) => Rows {
  let asOf = -1;
  const kept = new Map<string, Rows>();
  return (...asked) => {
    if (journal.isWriting()) return read(...asked);
    const now = journal.revision();
    if (asOf !== now) kept.clear();
    asOf = now;
    const key = asked.join(" ");
    const rows = kept.get(key) ?? read(...asked);
    kept.delete(key);
    kept.set(key, rows);
    if (kept.size > mostKept) kept.delete(kept.keys().next().value as string);
    return rows;
  };
}
