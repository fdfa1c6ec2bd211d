/** JSON inside a page: nothing in it can close the block or open a comment. */
const blockText = (value: unknown): string =>
  JSON.stringify(value)
    .replaceAll("<", "\\u003c")
    .replaceAll("\u2028", "\\u2028")
    .replaceAll("\u2029", "\\u2029");

/** What the page's charts draw, by name, in one block. A swapped fragment brings its own, and the newest wins. */
export const ChartBlock = ({ charts }: { charts: Readonly<Record<string, unknown>> }) => (
  <script type="application/json" data-charts dangerouslySetInnerHTML={{ __html: blockText(charts) }} />
);
