import { shortPrint } from "./shortPrint.ts";

const lineWidth = 118;

/** Six digits say more than any change on purpose needs, and fewer than machines may differ in. */
const roundedTo = 6;

/** An answer as lines that can be read and compared: figures rounded, what is short on one line, long lists by their ends. */
export const toldOf = (answer: unknown): string =>
  typeof answer === "string" ? answer.trimEnd() : linesOf(answer, "").join("\n");

const rounded = (value: number): number => Number(value.toPrecision(roundedTo));

const plain = (value: unknown): string =>
  JSON.stringify(value, (_, inner) => (typeof inner === "number" ? rounded(inner) : inner)) ?? "nothing";

function linesOf(value: unknown, indent: string): readonly string[] {
  const short = plain(value);
  if (typeof value !== "object" || value === null || short.length + indent.length <= lineWidth)
    return [indent + short];
  if (Array.isArray(value)) return listLines(value, indent);
  return Object.entries(value).flatMap(([name, of]) => {
    const [first = "", ...more] = linesOf(of, `${indent}  `);
    return more.length === 0
      ? [`${indent}${name}: ${first.trimStart()}`]
      : [`${indent}${name}:`, first, ...more];
  });
}

const toldEach = 4;

/** Of a list longer than `toldEach` the first and the last two, with a print of them all. */
function listLines(list: readonly unknown[], indent: string): readonly string[] {
  const isNumbers = list.every((one) => typeof one === "number");
  if (list.length <= toldEach && !isNumbers)
    return list.flatMap((one) => asItem(linesOf(one, `${indent}  `), indent));
  const print = printOf(plain(list));
  const ends = [list[0], ...list.slice(-2)].map((one) => `${indent}- ${plain(one)}`);
  return [`${indent}${list.length} of them, ${print}, the first and the last two:`, ...ends];
}

const asItem = ([first = "", ...more]: readonly string[], indent: string): readonly string[] => [
  `${indent}- ${first.trimStart()}`,
  ...more,
];

const unread =
  /<head[\s\S]*?<\/head>|<script[\s\S]*?<\/script>|<nav[\s\S]*?<\/nav>|<select[\s\S]*?<\/select>/g;
const tag = /<\/?([a-z0-9]*)(?:"[^"]*"|[^">])*>/g;
const inLine = new Set([
  "a",
  "abbr",
  "b",
  "em",
  "i",
  "kbd",
  "small",
  "span",
  "strong",
  "time",
  "tspan",
  "wbr",
]);
const cells = new Set(["td", "th", "text"]);
/** Each reader's own time zone. */
const moment = /\d{1,2} [A-Z][a-z]{2} \d{4}(?:, \d{2}:\d{2}(?::\d{2})?)?/g;
const entities = { "&amp;": "&", "&lt;": "<", "&gt;": ">", "&quot;": '"', "&#39;": "'", "&nbsp;": " " };

/** What a page says, a line for each block; each row of a table is one. */
export const linesOnPage = (html: string): readonly string[] =>
  html
    .replace(unread, "")
    .replace(/\s+/g, " ")
    .replace(tag, (whole, name: string) =>
      inLine.has(name) ? "" : cells.has(name) ? (whole.startsWith("</") ? " | " : "") : "\n",
    )
    .replace(/&(?:amp|lt|gt|quot|#39|nbsp);/g, (entity) => entities[entity as keyof typeof entities])
    .replace(moment, "(when)")
    .split("\n")
    .map((line) => line.replace(/(?: \|)+ $/, "").trim())
    .filter((line) => line !== "");

/** Of these lines those that `said` does not hold yet, under a print of them all. */
export function newOnPage(lines: readonly string[], said: Set<string>): string {
  const fresh = lines.filter((line) => !said.has(line));
  for (const line of lines) said.add(line);
  return [`${lines.length} lines, ${printOf(lines.join("\n"))}`, ...fresh].join("\n");
}

export const printOf = (text: string): string => shortPrint(12, text);
