import { createHash } from "node:crypto";

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
  const print = createHash("sha256").update(plain(list)).digest("hex").slice(0, 12);
  const ends = [list[0], ...list.slice(-2)].map((one) => `${indent}- ${plain(one)}`);
  return [`${indent}${list.length} of them, ${print}, the first and the last two:`, ...ends];
}

const asItem = ([first = "", ...more]: readonly string[], indent: string): readonly string[] => [
  `${indent}- ${first.trimStart()}`,
  ...more,
];
