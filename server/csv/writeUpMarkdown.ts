import type { Block, TableBlock } from "../bench/writeUp/block.ts";

/** How the file beside the text is called for a chart or a picture; null leaves it out. */
export type FileOf = (block: Extract<Block, { as: "chart" | "picture" }>) => string | null;

/** The account as Markdown (CommonMark with GitHub's tables). */
export const writeUpMarkdown = (blocks: readonly Block[], fileOf: FileOf): string =>
  `${blocks
    .map((block) => markdownOf(block, fileOf))
    .filter((words) => words !== "")
    .join("\n\n")}\n`;

function markdownOf(block: Block, fileOf: FileOf): string {
  switch (block.as) {
    case "heading":
      return `${"#".repeat(block.level)} ${inline(block.words)}`;
    case "paragraph":
      return block.tone === "caution" ? quoted(block.words) : prose(block.words);
    case "list":
      return block.items.map((item) => `- ${inline(item)}`).join("\n");
    case "table":
      return tableMarkdown(block);
    case "chart":
    case "picture":
      return imageMarkdown(block, fileOf);
  }
}

/** Every sign that Markdown would read is put behind a backslash, so that names and notes stay what they are. */
const escaped = (words: string): string => words.replace(/[\\`*_{}[\]<>#|~&]/g, "\\$&");

/** One line; a number or a dash at its start would begin a list. */
const inline = (words: string): string =>
  escaped(words.replace(/\s+/g, " ").trim())
    .replace(/^(\d+)([.)])/, "$1\\$2")
    .replace(/^([-+=])/, "\\$1");

const prose = (words: string): string =>
  words
    .split(/\n\s*\n/)
    .map(inline)
    .filter((part) => part !== "")
    .join("\n\n");

const quoted = (words: string): string =>
  prose(words)
    .split("\n")
    .map((line) => `> ${line}`.trimEnd())
    .join("\n");

function tableMarkdown({ caption, columns, rows }: TableBlock): string {
  const line = (cells: readonly string[]): string => `| ${cells.map(inline).join(" | ")} |`;
  const heads = columns.map(({ words, unit }) => (unit === null ? words : `${words}, ${unit}`));
  const rule = `| ${columns.map(({ holds }) => (holds === "words" ? ":--" : "--:")).join(" | ")} |`;
  return [inline(caption), "", line(heads), rule, ...rows.map(line)].join("\n");
}

function imageMarkdown(block: Extract<Block, { as: "chart" | "picture" }>, fileOf: FileOf): string {
  const file = fileOf(block);
  return file === null ? "" : `![${inline(block.caption)}](<${file.replace(/[<>\n]/g, "")}>)`;
}
