/** So many builds' rows are kept; the one not asked for longest goes first. */
const mostKept = 16;

/**
 * Rows read in bulk, kept until something is committed: a page asks for the same ones several times, and so does the
 * next page. Inside a write they are read anew, since it may have changed them.
 */
export function remembered<Rows>(
  read: (buildId: string) => Rows,
  journal: Readonly<{ revision(): number; isWriting(): boolean }>,
): (buildId: string) => Rows {
  let asOf = -1;
  const kept = new Map<string, Rows>();
  return (buildId) => {
    if (journal.isWriting()) return read(buildId);
    const now = journal.revision();
    if (asOf !== now) kept.clear();
    asOf = now;
    const rows = kept.get(buildId) ?? read(buildId);
    kept.delete(buildId);
    kept.set(buildId, rows);
    if (kept.size > mostKept) kept.delete(kept.keys().next().value as string);
    return rows;
  };
}
