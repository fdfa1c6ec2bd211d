/** What a chart draws, from the newest block of the page that names it. */
export const charted = (name: string): unknown => {
  const blocks = [...document.querySelectorAll<HTMLScriptElement>("script[data-charts]")].reverse();
  for (const block of blocks) {
    const charts = JSON.parse(block.textContent ?? "{}") as Record<string, unknown>;
    if (Object.hasOwn(charts, name)) return charts[name];
  }
  return undefined;
};
