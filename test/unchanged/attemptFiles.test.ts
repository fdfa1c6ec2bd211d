import { expect, it } from "vitest";
import { linesRead } from "../../server/csv/attemptCsv.ts";
import { type AttemptFile, attemptFileOf, textOf } from "../../server/csv/attemptFile.ts";
import { attemptFileGlimpse, cellsOfLines } from "../../server/csv/attemptFileGlimpse.ts";
import {
  type AttemptMapping,
  assertMapping,
  mappingProposed,
  mappingRemembered,
} from "../../server/csv/attemptMapping.ts";
import { mappingTyped, meaningWritten } from "../../server/csv/attemptMappingTyped.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { everyField, id, known, now } from "./attemptsKnown.ts";
import { type Asked, drawnFile } from "./drawnAttempts.ts";
import { printOf, refusalTold } from "./toldLog.ts";

/** What a file of attempts comes to: its columns, what is asked of them, and each line as an attempt or why it is none. */
function toldFile(
  text: string | Buffer,
  { zone = "UTC", typed = {}, change = {}, chip }: Asked = {},
): string {
  const told: string[] = [];
  try {
    const file = attemptFileOf(typeof text === "string" ? text : textOf(text));
    const mapping = { ...mappingTyped(typed, file, mappingProposed(file, zone)), ...change };
    told.push(...shapeTold(file, mapping));
    assertMapping(mapping, file, chip);
    told.push(...linesTold(file, mapping));
  } catch (error) {
    told.push(refusalTold(error));
  }
  return told.join("\n");
}

function shapeTold(file: AttemptFile, mapping: AttemptMapping): readonly string[] {
  const { separator, decimal, names, headerAt, columns } = file.shape;
  const { outcomeWords, workloadWords, workloadsUnnamed, columns: seen } = attemptFileGlimpse(file, mapping);
  const meant = mapping.meanings.map((meaning, at) => `${names[at]}=${meaningWritten(meaning) || "nothing"}`);
  return [
    `  ${JSON.stringify(separator)} and "${decimal}", header on ${headerAt}, ${file.lines} lines, ${mapping.dayFirst ? "days" : "months"} first, ${mapping.zone}`,
    `  ${meant.slice(0, 40).join("; ")}`,
    `  ${columns
      .map(({ kind }, at) => `${kind} ${seen[at]?.samples.join("/").slice(0, 30)}`)
      .slice(0, 12)
      .join("; ")}`,
    `  to settle: ${[...outcomeWords, ...workloadWords.map((word) => `load ${word}`)].join(", ").slice(0, 200)}${workloadsUnnamed ? ", no load named" : ""}; ${Object.entries({ ...mapping.outcomes, ...mapping.workloads }).join(" ")}`,
  ];
}

function linesTold(file: AttemptFile, mapping: AttemptMapping): readonly string[] {
  const { good, refused } = linesRead(file, mapping, known, now);
  const places = new Set(refused.map(({ line }) => line));
  const shown = [...cellsOfLines(file, places)].map(([line, cells]) => `${line}:${cells.length}`).join(" ");
  const drafts = good.map(({ line, buildId, draft, setAsideReason, ownId }) => {
    const said = Object.entries(draft).filter(([, value]) => value !== null && value !== undefined);
    return `  ${line} ${said.map(([name, value]) => `${name} ${typeof value === "string" ? value.replace("0197f000-0000-7000-8000-00000000000", "~") : JSON.stringify(value)}`).join(", ")} | ${buildId.slice(-1)} ${setAsideReason ?? ""} ${ownId?.slice(-1) ?? ""}`;
  });
  return [
    ...drafts.slice(0, 2),
    ...(drafts.length > 2 ? [`  and ${drafts.length - 2} more, ${printOf(drafts)}`] : []),
    ...refused.slice(0, 4).map(({ line, because, waits }) => `  ${line}${waits ? " waits" : ""}: ${because}`),
    ...(refused.length > 4
      ? [`  and ${refused.length - 4} more, ${printOf(refused.map(({ because }) => because))}`]
      : []),
    ...(shown === "" ? [] : [`  shown again, by cells: ${shown.slice(0, 60)}`]),
  ];
}

const file = (...lines: readonly string[]) => lines.join("\n");
const plain = file("clock MHz,voltage mV,result,lasted min,load", "4600,1200,ok,15,stacking");
const wide = (count: number) =>
  file(Array.from({ length: count }, (_, at) => `c${at}x`).join(), Array(count).fill("1").join());
const long = (size: number) => `${plain}\n${"x".repeat(size - plain.length - 1)}`;

const files: Readonly<Record<string, readonly [string | Buffer, Asked?]>> = {
  plain: [plain],
  empty: [""],
  "blanks alone": ["\ufeff \n "],
  "one column": [file("clock", "4600")],
  "numbers alone": [file("1,2", "3,4")],
  "header alone": ["clock,voltage,outcome"],
  "a title alone over cells": [file("a,b", "c", "clock,voltage,result,min", "4600,1200,ok,15 min")],
  "two hundred columns": [wide(200)],
  "one more": [wide(201)],
  "more text than is taken": [long((16 << 20) + 1)],
  "a picture": [Buffer.from("89504e470d0a1a0a", "hex")],
  "no text": [Buffer.from("010203040506", "hex")],
  "header on the thirtieth line": [file(...Array(29).fill("words"), plain)],
  "header on the line below": [file(...Array(30).fill("words"), plain)],
  "separators in words": [
    file(
      "clock MHz;voltage mV;result;lasted min;note",
      '4600;1200;ok;15;"a, b, c"',
      '4600;1200;ok;15;"d, e, f"',
    ),
  ],
  "a length of time in volts": [file("clock,voltage,result,lasted [V],load", "4600,1200,ok,15,stacking")],
  "no clock": [file("voltage,result", "1200,ok")],
  "no voltage": [file("clock,result,min,load", "4600,ok,15,stacking")],
  "no voltage, and none is needed": [
    file("clock,result,lasted min,load", "4600,ok,15,stacking"),
    { chip: { axis: "clock", automaticVoltage: true } as Asked["chip"] },
  ],
  "by offset": [
    file("offset,result,lasted s,load", "150,ok,900,stacking", ",ok,900,stacking"),
    { chip: { axis: "offset", automaticVoltage: false } as Asked["chip"] },
  ],
  "by offset, without": [plain, { chip: { axis: "offset", automaticVoltage: false } as Asked["chip"] }],
  "minutes, hours or seconds": [file("clock,volt,result,ran,load", "4600,1.2,ok,15,stacking")],
  "minutes it is": [
    file("clock,volt,result,ran,load", "4600,1.2,ok,15,stacking"),
    { typed: { "column-3": "durationS min" } },
  ],
  "nonsense chosen": [
    plain,
    {
      typed: {
        "column-0": "clockMhz V",
        "column-1": "speed mV",
        "column-3": "durationS ?",
        zone: "Attic/Bench",
      },
    },
  ],
  "two of one meaning": [plain, { typed: { "column-1": "clockMhz MHz" } }],
  "a zone": [
    file("clock,volt,result,min,load,when", "4600,1.2,ok,15 min,stacking,2031-05-04 02:30"),
    { zone: "Europe/Paris" },
  ],
  "order of days": [
    file(
      "clock,volt,result,lasted,load,date,time",
      "4600,1.2,ok,15:00,stacking,5/4/2031,10:00",
      "4600,1.2,ok,15:00,stacking,13/4/2031,10:00",
    ),
  ],
  "order of months": [
    file(
      "clock,volt,result,lasted,load,when",
      "4600,1.2,ok,15:00,stacking,5/4/2031 10:00",
      "4600,1.2,ok,15:00,stacking,4/13/2031 10:00",
    ),
  ],
  "a time without a day": [file("clock,volt,result,lasted,load,time", "4600,1.2,ok,15:00,stacking,10:00")],
  "a day without a time": [
    file("clock,volt,result,lasted,load,date", "4600,1.2,ok,15:00,stacking,2031-05-04"),
  ],
  "not yet begun": [
    file(
      "clock,volt,result,lasted,load,when",
      ...["12:10", "12:11"].map((at) => `4600,1.2,ok,15:00,stacking,2031-05-05 ${at}`),
    ),
  ],
  "still running": [
    file("clock,volt,result,lasted,load", "4600,1.2,running,,stacking", "4600,1.2,running,15 min,stacking"),
  ],
  "what contradicts": [
    file(
      "clock,volt,result,lasted,planned,load,temp,hottest,failed after,failed before",
      "4600,1.2,ok,10 min,15 min,stacking,80,79,,",
      "4600,1.2,froze,10 min,15 min,stacking,80,80,2 min,9 min",
      "4600,1.2,ok,15 min,15 min,stacking,80,81,2 min,9 min",
      "4600,,ok,15 min,,stacking,,,,",
      ",1.2,ok,15 min,,stacking,,,,",
      "4600,1.2,froze,10 min,,stacking,,,9 min,2 min",
    ),
  ],
  "bounds of figures": [
    file(
      "clock,volt,result,lasted,load,room,temp,power,fan",
      ...["0", "-1", "1e9"].flatMap((one) => [
        `${one},1200 mV,ok,15 min,stacking,,,,`,
        `4600,${one} mV,ok,15 min,stacking,,,,`,
        `4600,1200 mV,ok,${one},stacking,,,,`,
        `4600,1200 mV,ok,15 min,stacking,${one},${one},${one},${one}`,
      ]),
    ),
  ],
  "forty characters of a word and one more": [
    file(
      "clock,volt,result,lasted min",
      ...[40, 41].flatMap((size) => [`4600,1.2,${"x".repeat(size)},15`, `${"y".repeat(size)},1.2,ok,15`]),
    ),
  ],
  "every field by its name": [everyField],
  "a hundred words and one more": [
    file("clock,volt,result,lasted min", ...Array.from({ length: 101 }, (_, at) => `4600,1.2,word${at},15`)),
    { typed: { "outcome word99": "freeze", "outcome word100": "freeze" } },
  ],
  "a line that breaks off": [
    file(
      "clock,volt,result,lasted min,colour,shape",
      "4600,1.2,ok,15",
      "4600,1.2,ok",
      "4600,1.2,ok,15,red,round, ,",
      "4600,1.2,ok,15,red,round,x",
    ),
    { typed: { workloadId: id(1) } },
  ],
};

it("files of attempts drawn rough in many ways are read as before", () => {
  const random = seededRandom(51);
  const told = Array.from({ length: 26 }, () => {
    const { of, bytes, asked } = drawnFile(random);
    return `## ${of}\n${toldFile(bytes, asked)}`;
  });
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/attemptFiles.txt");
});

it("files of attempts at the bounds of what is taken are read as before", () => {
  const told = Object.entries(files).map(([name, [text, asked]]) => `## ${name}\n${toldFile(text, asked)}`);
  const held = attemptFileOf(plain);
  const usual = mappingProposed(held, "UTC");
  const kept = [
    undefined,
    {},
    { meanings: [null] },
    { ...usual, dayFirst: false, meanings: usual.meanings.map(() => null) },
    {
      ...usual,
      zone: "Europe/Paris",
      meanings: usual.meanings.map(() => ({ field: "clockMhz", unit: "V" })),
    },
  ];
  told.push(
    `## remembered, by ${held.key}`,
    ...kept.map((one) => `  ${JSON.stringify(mappingRemembered(one, held, "UTC"))}`),
  );
  return expect(`${told.join("\n")}\n`).toMatchFileSnapshot("answers/attemptFileBounds.txt");
});
