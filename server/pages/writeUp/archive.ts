import { zipSync } from "fflate";
import type { AccountAnswer } from "../../answers/accountOf.ts";
import { attemptsHandedOver } from "../../answers/attemptsCsv.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Block } from "../../bench/writeUp/block.ts";
import { allMeasures } from "../../bench/writeUp/results.ts";
import { writeUpOf } from "../../bench/writeUp/writeUp.ts";
import { tableCsv } from "../../csv/tableCsv.ts";
import { writeUpMarkdown } from "../../csv/writeUpMarkdown.ts";
import { intervalPicture, plotPicture } from "../../html/savedPicture.tsx";
import type { Journal } from "../../store/file/journal.ts";
import { type ChartDrawn, chartsOf } from "./charts.ts";
import { chartTable } from "./chartTable.ts";
import { pngPicture } from "./pngPicture.ts";

type ZipEntry = Readonly<{ name: string; bytes: Uint8Array }>;

const text = (words: string): Uint8Array => new TextEncoder().encode(words);

/** The account as Markdown with nothing beside it: its charts and pictures are left out. */
export const markdownOf = ({ account }: AccountAnswer): string =>
  writeUpMarkdown(writeUpOf(account), () => null);

/** The account with every chart as SVG, PNG and CSV, every table and each build's attempts as CSV, and the pictures. */
export async function archiveOf(answer: AccountAnswer, journal: Journal): Promise<Uint8Array> {
  const blocks = writeUpOf(answer.account);
  const charts = await chartEntries(answer, journal.builds.all(), blocks);
  const more = answer.account.comparisons.flatMap((one, i) => allMeasures(answer.account, one, i));
  const tables = [...blocks, ...more].flatMap((block): ZipEntry[] =>
    block.as === "table" ? [{ name: `tables/${block.name}.csv`, bytes: text(tableCsv(block)) }] : [],
  );
  const records = answer.account.builds.map(({ build }, i) => ({
    name: `tables/attempts-${i + 1}.csv`,
    bytes: text(attemptsHandedOver(journal, build)),
  }));
  const pictures = pictureEntries(blocks, journal);
  const there = new Set([...charts, ...pictures.values()].map(({ name }) => name));
  const markdown = writeUpMarkdown(blocks, (block) => {
    const name = block.as === "chart" ? `charts/${block.name}.png` : pictures.get(block.id)?.name;
    return name !== undefined && there.has(name) ? name : null;
  });
  const entries = [
    { name: "write-up.md", bytes: text(markdown) },
    ...charts,
    ...tables,
    ...records,
    ...pictures.values(),
  ];
  return zipOf(entries, answer.account.asOf);
}

async function chartEntries(
  answer: AccountAnswer,
  builds: readonly Build[],
  blocks: readonly Block[],
): Promise<ZipEntry[]> {
  const charts = chartsOf(answer, builds);
  const entries: ZipEntry[] = [];
  for (const block of blocks) {
    const chart = block.as === "chart" ? charts.get(block.name) : undefined;
    const svg = chart && svgOf(chart);
    if (block.as !== "chart" || !chart || !svg) continue;
    const name = `charts/${block.name}`;
    await new Promise(setImmediate); // painting takes a moment; what else is asked goes first
    entries.push(
      { name: `${name}.svg`, bytes: text(svg) },
      { name: `${name}.png`, bytes: await pngPicture(svg) },
      { name: `${name}.csv`, bytes: text(tableCsv(chartTable(block.name, chart))) },
    );
  }
  return entries;
}

const svgOf = (chart: ChartDrawn): string | undefined =>
  chart.kind === "plot" ? plotPicture(chart.plot) : intervalPicture(chart.title, chart.rows, chart.nothing);

/** Stored as they are, since pictures and short texts hardly shrink; stamped with the account's own time, in UTC. */
export function zipOf(entries: readonly ZipEntry[], changedAt: string): Uint8Array {
  const at = new Date(changedAt);
  const mtime = new Date(at.getTime() + at.getTimezoneOffset() * 60_000);
  return zipSync(Object.fromEntries(entries.map(({ name, bytes }) => [name, bytes])), { level: 0, mtime });
}

const endings = { "image/jpeg": "jpg", "image/png": "png", "image/webp": "webp" } as const;

function pictureEntries(blocks: readonly Block[], { pictures }: Journal): ReadonlyMap<string, ZipEntry> {
  const entries = new Map<string, ZipEntry>();
  for (const block of blocks) {
    if (block.as !== "picture") continue;
    const [picture, bytes] = [pictures.find(block.id), pictures.imageOf(block.id)];
    if (!picture || !bytes) continue;
    entries.set(block.id, { name: `pictures/${entries.size + 1}.${endings[picture.type]}`, bytes });
  }
  return entries;
}
