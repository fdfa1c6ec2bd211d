import { expect, it } from "vitest";
import { documentReader } from "../../server/csv/documentReader.ts";
import { id, now } from "./attemptsKnown.ts";
import { refusalTold } from "./toldLog.ts";

const head = { journal: "rungbook", version: 2, exportedAt: now };
const lists = Object.fromEntries(
  ["chips", "boards", "workloads", "rules", "builds", "mounts", "noise", "attempts"].map((name) => [
    name,
    [],
  ]),
);
const board = (name: unknown, n = 1) => ({ id: id(n), createdAt: now, updatedAt: now, version: 1, name });
const nested = (depth: number) => `${"[".repeat(depth)}${"]".repeat(depth)}`;
const whole = JSON.stringify({ ...head, ...lists });

const documents: Readonly<Record<string, string>> = {
  whole,
  "with boards": JSON.stringify({ ...head, ...lists, boards: [board("Quay S"), board("Ü ✓ 𝄞", 2)] }, null, 1),
  "of the first form": JSON.stringify({ ...lists, ...head, version: 1 }),
  "of a form to come": JSON.stringify({ ...head, version: 3, ...lists }),
  "of a form in words": JSON.stringify({ ...head, version: "3", ...lists }),
  "of another kind": JSON.stringify({ ...head, journal: "diary", ...lists }),
  "not read in part": JSON.stringify({ ...head, notRead: "Two things.", ...lists }),
  "not read, no words": JSON.stringify({ ...head, notRead: 7, ...lists }),
  "without a head": JSON.stringify(lists),
  "without a time": JSON.stringify({ journal: "rungbook", version: 2, ...lists }),
  "without chips": whole.replace('"chips":[],', ""),
  "chips twice": whole.replace('"chips":[]', '"chips":[],"chips":[]'),
  "chips an object": whole.replace('"chips":[]', '"chips":{"a":{}}'),
  "chips a word": whole.replace('"chips":[]', '"chips":"none"'),
  "a field of its own": whole.replace('"chips":[]', '"fish":[]'),
  "a chip of nothing": whole.replace('"chips":[]', '"chips":[null,7]'),
  "a fault behind a sound board": JSON.stringify({
    ...head,
    ...lists,
    boards: [board("Quay S"), board(7, 2), board("Late", 3)],
  }),
  "nineteen faults": JSON.stringify({
    ...head,
    ...lists,
    boards: Array.from({ length: 19 }, (_, n) => board(7, n)),
  }),
  "thirty faults": JSON.stringify({
    ...head,
    ...lists,
    boards: Array.from({ length: 30 }, (_, n) => board(7, n)),
  }),
  "deleted things": JSON.stringify({
    ...head,
    ...lists,
    deleted: [
      { list: "boards", thing: board("Gone") },
      { list: "fish", thing: {} },
      { list: "boards", thing: {} },
    ],
  }),
  "folded to the most": whole.replace('"chips":[]', `"chips":[${nested(38)}]`),
  "folded once more": whole.replace('"chips":[]', `"chips":[${nested(39)}]`),
  empty: "",
  "a list": "[]",
  words: "just words",
  "nothing in it": "{}",
  "cut off": whole.slice(0, -9),
  "cut in a name": whole.slice(0, 4),
  "more behind": `${whole}x`,
  "blanks behind": `${whole}\n \n`,
};

it("documents of a journal are read as before", () => {
  const told = Object.entries(documents).map(([name, text]) => {
    const things: string[] = [];
    const reader = documentReader((section, thing, from) =>
      things.push(`  ${section} from ${from}: ${JSON.stringify(thing).slice(0, 150)}`),
    );
    try {
      for (let at = 0; at < text.length; at += 50) reader.write(Buffer.from(text.slice(at, at + 50)));
      reader.end();
    } catch (error) {
      things.push(...refusalTold(error).split("\n").slice(0, 3));
    }
    return `## ${name}\n${things.join("\n") || "  nothing in it"}`;
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/documents.txt");
});
