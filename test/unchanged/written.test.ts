import { expect, it } from "vitest";
import type { Attempt, AttemptDraft } from "../../server/bench/things/attempt.ts";
import { attemptFrom } from "../../server/bench/things/attemptFrom.ts";
import type { Block, TableBlock } from "../../server/bench/writeUp/block.ts";
import { linesRead } from "../../server/csv/attemptCsv.ts";
import {
  attemptCsvHeader,
  attemptCsvLines,
  notHandedOver,
  notReadLine,
} from "../../server/csv/attemptCsvText.ts";
import { attemptFileOf } from "../../server/csv/attemptFile.ts";
import { mappingProposed } from "../../server/csv/attemptMapping.ts";
import { columnsCsv, tableCsv } from "../../server/csv/tableCsv.ts";
import { writeUpMarkdown } from "../../server/csv/writeUpMarkdown.ts";
import { everyField, id, known, now } from "./attemptsKnown.ts";

const chips = [
  undefined,
  { clockUnit: "MT/s", offset: null },
  { clockUnit: "MHz", offset: { unit: "steps" } },
] as const;

/** Attempts as they are written, and the other texts that are. */
function writtenTold(): readonly string[] {
  const file = attemptFileOf(everyField);
  const [line] = linesRead(file, mappingProposed(file, "UTC"), known, now).good;
  const full = { ...attemptFrom(line?.draft as AttemptDraft, now), id: id(3), setAside: { reason: "=odd" } };
  const spare = attemptFrom(
    { workloadId: id(1), clockMhz: 4600, outcome: "pass", durationS: 60 } as AttemptDraft,
    now,
  );
  const taggedWith = (...tags: string[]) => ({
    ...spare,
    id: id(4),
    setAside: null,
    tags,
    aboveCeiling: true,
  });
  const attempts = [
    full,
    taggedWith("a;b"),
    taggedWith("[a"),
    taggedWith("-a", "b"),
    taggedWith("a,b"),
  ] as unknown as Attempt[];
  const named = () => ({ workload: "+stacking", build: 'Shelf "A"' });
  return [
    ...chips.flatMap((chip) => [
      attemptCsvHeader(chip as Chips),
      attemptCsvHeader(chip as Chips, notHandedOver),
    ]),
    ...attemptCsvLines(attempts, named),
    ...attemptCsvLines(attempts.slice(0, 1), named, notHandedOver),
    notReadLine("two attempts"),
    columnsCsv(["=a", "b"], [Float64Array.of(1, Number.NaN, 2.5), Float64Array.of(3)]),
    columnsCsv([], []),
    tableCsv(table),
    writeUpMarkdown(blocks, (block) => (block.as === "chart" ? "chart<1>.svg" : null)),
  ].map((text) => text.replaceAll("\r\n", "\n").trimEnd());
}
type Chips = Parameters<typeof attemptCsvHeader>[0];

const table = {
  as: "table",
  caption: "1) Readings",
  columns: [
    { words: "Clock", unit: "MHz", holds: "figure" },
    { words: "=Note", unit: null, holds: "words" },
  ],
  rows: [
    ["−4.5", "-a"],
    ["+7", "a | b"],
    ["1.2.3", " c"],
  ],
} as unknown as TableBlock;
const blocks = [
  { as: "heading", level: 2, words: "- A *heading*" },
  { as: "paragraph", words: "1. one\n\n two  words\n\n\n = three" },
  { as: "paragraph", words: "" },
  { as: "paragraph", tone: "caution", words: "hot\n\nvery <hot>" },
  { as: "list", items: ["a_b", "# c"] },
  table,
  { as: "chart", caption: "A chart" },
  { as: "picture", caption: "A picture" },
] as unknown as readonly Block[];

it("what is written as text is written as before", () =>
  expect(`${writtenTold().join("\n")}\n`).toMatchFileSnapshot("answers/written.txt"));
