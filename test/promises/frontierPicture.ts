import type { Mean } from "./statistics.ts";

/** Where one rule lies: how far under the truth its answers are, how often unfit, and how long it takes. */
export type RulePoint = Readonly<{ rule: string; under: Mean; unfit: Mean; minutes: Mean; ours: boolean }>;

const width = 760;
const height = 440;
const margin = { left: 64, right: 24, top: 24, bottom: 56 };

/** A picture of the rules: to the left nearer the truth, further down less often beyond it; crosses are two standard errors wide. */
export function frontierSvg(title: string, points: readonly RulePoint[]): string {
  const farthest = niceEnd(Math.max(...points.map(({ under }) => under.mean + 2 * under.error)), 20);
  const most = niceEnd(Math.max(0.1, ...points.map(({ unfit }) => unfit.mean + 2 * unfit.error)), 0.05);
  const x = (mhz: number): number =>
    margin.left + (Math.max(0, mhz) / farthest) * (width - margin.left - margin.right);
  const y = (share: number): number =>
    height - margin.bottom - (Math.max(0, share) / most) * (height - margin.top - margin.bottom);
  const line = (x1: number, y1: number, x2: number, y2: number, stroke: string): string =>
    `<line x1="${x1.toFixed(1)}" y1="${y1.toFixed(1)}" x2="${x2.toFixed(1)}" y2="${y2.toFixed(1)}" stroke="${stroke}"/>`;
  const text = (at: readonly [number, number], words: string, anchor = "start"): string =>
    `<text x="${at[0].toFixed(1)}" y="${at[1].toFixed(1)}" text-anchor="${anchor}">${escaped(words)}</text>`;
  const marks = points.map(({ rule, under, unfit, minutes, ours }) => {
    const colour = ours ? "#1d6f42" : "#8a5a00";
    const [px, py] = [x(under.mean), y(unfit.mean)];
    return [
      line(x(under.mean - 2 * under.error), py, x(under.mean + 2 * under.error), py, colour),
      line(px, y(unfit.mean - 2 * unfit.error), px, y(unfit.mean + 2 * unfit.error), colour),
      `<circle cx="${px.toFixed(1)}" cy="${py.toFixed(1)}" r="${ours ? 6 : 4}" fill="${colour}"/>`,
      px < 0.45 * width
        ? text([px + 9, py - 7], labelOf(rule, minutes))
        : text([px - 9, py - 7], labelOf(rule, minutes), "end"),
    ].join("");
  });
  const ticks = [
    ...steps(farthest, 20).map((mhz) => text([x(mhz), height - margin.bottom + 18], String(mhz), "middle")),
    ...steps(most, 0.05).map((share) =>
      text([margin.left - 8, y(share) + 4], `${Math.round(100 * share)} %`, "end"),
    ),
    line(x(0), y(0), x(farthest), y(0), "#888"),
    line(x(0), y(0), x(0), y(most), "#888"),
  ];
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" font-family="sans-serif" font-size="12">`,
    `<title>${escaped(title)}</title><rect width="${width}" height="${height}" fill="#fff"/>`,
    ...ticks,
    ...marks,
    text([(margin.left + width - margin.right) / 2, height - 12], "MHz under the truth", "middle"),
    text([margin.left, 16], `unfit answers: ${title}`),
    "</svg>",
  ].join("\n");
}

const labelOf = (rule: string, minutes: Mean): string => `${rule} (${minutes.mean.toFixed(0)} min)`;

const niceEnd = (value: number, step: number): number => Math.ceil(value / step) * step;

const steps = (end: number, step: number): number[] =>
  Array.from({ length: Math.round(end / step) + 1 }, (_, i) => i * step);

const escaped = (words: string): string =>
  words.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;");
