import type { JudgedClock } from "../comparison/clockApart.ts";
import { onePerMeasure, scoreDecimals } from "../comparison/intervalRows.ts";
import type { LoudnessRow } from "../comparison/loudness.ts";
import type { JudgedOffsets, SameOffsetRow } from "../comparison/offsetsApart.ts";
import { rowSetWords, type SameSettingRow } from "../comparison/sameSetting.ts";
import type { SameVoltageRow } from "../comparison/sameVoltage.ts";
import { tellingHeat } from "../comparison/sentence.ts";
import { type JudgedRow, judgedBy, verdictSaid } from "../comparison/together.ts";
import { measureTraits } from "../runs/comparedRun.ts";
import { volts } from "../things/words.ts";
import { type Account, type AccountedBuild, type AccountedComparison, workloadName } from "./account.ts";
import { asSetLines, reachByOffset } from "./asSet.ts";
import { type Block, type ColumnOfBlock, column, heading, list, table, wordsColumn } from "./block.ts";
import {
  clockFigure,
  figure,
  intervalFigure,
  minutesFigure,
  signedFigure,
  unknownFigure,
} from "./figures.ts";

/** How far one build goes: its chart and its table. */
export function reachOfBuild(accounted: AccountedBuild, number: number): Block[] {
  const { build, chip, points } = accounted;
  const name = `limit-${number + 1}`;
  const drawn = `${build.name}, every attempt that speaks of the clock. The steps are what held by the rule; the band, where there is one, is where the fitted limit lies, nine chances in ten.`;
  const caption = `${build.name}: the highest clock that held at each voltage, and what crashed above it.`;
  const columns = [
    column("Voltage", "V"),
    column("Held", chip.clockUnit),
    column("Passed once", chip.clockUnit),
    column("Crashed from", chip.clockUnit),
    column("Clean time", "min"),
    column("Hottest", "°C"),
    column("Held leaves", "°C"),
  ];
  const rows = points.map((point) => [
    volts(point.voltageMv).replace(" V", ""),
    clockFigure(point.heldMhz),
    clockFigure(point.highestPassedMhz),
    clockFigure(point.lowestCrashMhz),
    minutesFigure(point.evidence.exposureS),
    figure(point.loadTempC, 0),
    figure(point.marginC, 0),
  ]);
  const chart: Block = { as: "chart", name, caption: drawn };
  const found = [
    ...(rows.length === 0 ? [] : [chart, ...table(name, caption, columns, rows)]),
    ...reachByOffset(accounted, number),
  ];
  return found.length === 0 ? [] : [heading(3, build.name), ...found, ...asSetLines(accounted)];
}

/** What all of them held, one over the other. */
export const frontiers = ({ builds }: Account): Block[] =>
  builds.some(({ points }) => points.some(({ heldMhz }) => heldMhz !== null))
    ? [{ as: "chart", name: "frontiers", caption: "What each build held at each voltage." }]
    : [];

/** What sets two builds apart: chart, clocks, measures, and the budget behind the temperature. */
export function differences(account: Account, compared: AccountedComparison, number: number): Block[] {
  const { aName, bName, comparison } = compared;
  const less = `${bName} less ${aName}`;
  const { offsets } = comparison;
  const { together } = comparison;
  const clocks = [
    ...comparison.sameVoltage.map((row) => clockCells(row, together)),
    ...meanCells(comparison.clock, together),
  ];
  const measures = [...comparison.sameSetting, ...comparison.score];
  const shown = onePerMeasure(measures);
  const loud = comparison.noise.map((row) => loudnessCells(account, row, comparison));
  const blocks: Block[] = [
    ...table(
      `clocks-${number + 1}`,
      `Held clocks at the same voltage; ${less}. ${comparison.clock.because}`,
      pairColumns(column("Voltage", "V"), aName, bName, comparison.clockUnit),
      clocks,
    ),
    ...(offsets === null
      ? []
      : table(
          `offsets-${number + 1}`,
          `${offsets.axis.name} held part by part; ${less}. ${offsets.because}`,
          pairColumns(wordsColumn("Part"), aName, bName, offsets.axis.unit),
          [...offsets.rows.map((row) => offsetCells(row, together)), ...meanOffsetCells(offsets, together)],
        )),
    ...table(
      `measures-${number + 1}`,
      `The same setting and load, temperatures over the room; ${less}, with the 95 % interval.${shownOf(shown.length, measures.length)}`,
      measureColumns(aName, bName),
      shown.map((row) => measureCells(account, row, comparison)),
    ),
    ...table(`noise-${number + 1}`, `Loudness; ${less}.`, noiseColumns(aName, bName), loud),
    ...list(compared.equalLoudness === null ? [] : [compared.equalLoudness]),
    ...budgetOf(compared, number),
  ];
  if (blocks.length === 0) return [];
  const chart: Block = {
    as: "chart",
    name: `differences-${number + 1}`,
    caption: `${less}; the bar is where each difference may lie, 95 %.`,
  };
  return [heading(3, `${aName} and ${bName}`), chart, ...blocks];
}

const shownOf = (shown: number, all: number): string =>
  shown === all ? "" : ` Each measure once for each load; ${all - shown} more rows at other settings.`;

const pairColumns = (by: ColumnOfBlock, aName: string, bName: string, unit: string) => [
  by,
  column(aName, unit),
  column(bName, unit),
  column("Difference", unit),
  column("Observed ends", unit),
  column("Fitted limits", unit),
  wordsColumn("Verdict"),
];

const offsetCells = (row: SameOffsetRow, together: Together): string[] => [
  row.part ?? "the chip",
  signedFigure(row.a, 0),
  signedFigure(row.b, 0),
  signedFigure(row.difference, 0),
  intervalFigure(row.bracket?.low ?? null, row.bracket?.high ?? null, 0),
  intervalFigure(row.low, row.high, 0),
  row.limitsApart === null
    ? "observed only"
    : verdictCell({ measure: "offset", place: null, verdict: row.verdict }, null, together),
];

/** Below the parts the one difference over all of them, which is what is judged. */
const meanOffsetCells = (
  { difference, low, high, verdict, parts }: JudgedOffsets,
  together: Together,
): string[][] =>
  difference === null || parts < 2
    ? []
    : [
        [
          "all",
          unknownFigure,
          unknownFigure,
          signedFigure(difference, 0),
          unknownFigure,
          intervalFigure(low, high, 0),
          verdictCell({ measure: "offset", place: null, verdict }, null, together),
        ],
      ];

const clockCells = (row: SameVoltageRow, together: Together): string[] => [
  volts(row.voltageMv).replace(" V", ""),
  clockFigure(row.aMhz),
  clockFigure(row.bMhz),
  signedFigure(row.differenceMhz, 0),
  intervalFigure(row.bracket?.atLeastMhz ?? null, row.bracket?.atMostMhz ?? null, 0),
  intervalFigure(row.low, row.high, 0),
  row.low === null && row.high === null
    ? "observed only"
    : verdictCell({ measure: "clock", place: null, verdict: row.verdict }, row.smallerThan, together),
];

/** Below the voltages the one difference over all of them, which is what is judged. */
const meanCells = (
  { differenceMhz, low, high, verdict, smallerThan }: JudgedClock,
  together: Together,
): string[][] =>
  differenceMhz === null
    ? []
    : [
        [
          "all",
          unknownFigure,
          unknownFigure,
          signedFigure(differenceMhz, 0),
          unknownFigure,
          intervalFigure(low, high, 0),
          verdictCell({ measure: "clock", place: null, verdict }, smallerThan, together),
        ],
      ];

const measureColumns = (aName: string, bName: string) => [
  wordsColumn("Measure"),
  wordsColumn("Setting"),
  column(aName),
  column(bName),
  column("Difference"),
  column("95 % interval"),
  column("Runs"),
  column("Mounts"),
  wordsColumn("Verdict"),
];

function measureCells(
  account: Account,
  row: SameSettingRow,
  { clockUnit, together }: AccountedComparison["comparison"],
): string[] {
  const unit = row.measure === "score" ? (account.workloads.get(row.workloadId)?.scoreUnit ?? "") : row.unit;
  const decimals = decimalsOf(row);
  return [
    unit === "" ? measureTraits[row.measure].short : `${measureTraits[row.measure].short}, ${unit}`,
    `${rowSetWords(row, clockUnit)}, ${workloadName(account, row.workloadId)}`,
    figure(row.a, decimals),
    figure(row.b, decimals),
    signedFigure(row.difference, decimals),
    intervalFigure(row.low, row.high, decimals),
    `${row.runs[0]}, ${row.runs[1]}`,
    `${row.mounts[0]}, ${row.mounts[1]}`,
    verdictCell({ ...judgedBy(row), verdict: row.verdict }, row.smallerThan, together),
  ];
}

const decimalsOf = (row: SameSettingRow): number => {
  if (row.measure === "score") return scoreDecimals(row);
  return measureTraits[row.measure].byMount || row.measure === "power" ? 1 : 0;
};

/** Every row that a comparison has, for whoever works on with them. */
export const allMeasures = (account: Account, compared: AccountedComparison, number: number): Block[] => {
  const { aName, bName, comparison } = compared;
  const rows = [...comparison.sameSetting, ...comparison.score].map((row) =>
    measureCells(account, row, comparison),
  );
  return table(`all-measures-${number + 1}`, `${bName} less ${aName}.`, measureColumns(aName, bName), rows);
};

const noiseColumns = (aName: string, bName: string) => [
  wordsColumn("Condition"),
  column("Distance", "m"),
  column(aName, "dB(A)"),
  column(bName, "dB(A)"),
  column("Difference", "dB"),
  column("95 % interval", "dB"),
  wordsColumn("To a listener"),
  wordsColumn("Verdict"),
];

const loudnessCells = (
  account: Account,
  row: LoudnessRow,
  { clockUnit, together }: AccountedComparison["comparison"],
): string[] => [
  row.clockMhz === null || row.voltageMv === null
    ? workloadName(account, row.workloadId)
    : `${workloadName(account, row.workloadId)}, ${clockFigure(row.clockMhz)} ${clockUnit}, ${volts(row.voltageMv)}`,
  row.distanceM === null ? "1, worked out" : `${row.distanceM}`,
  figure(row.a, 1),
  figure(row.b, 1),
  signedFigure(row.difference, 1),
  intervalFigure(row.low, row.high, 1),
  row.words,
  verdictCell({ ...judgedBy(row), verdict: row.verdict }, row.smallerThan, together),
];

type Together = AccountedComparison["comparison"]["together"];

function verdictCell(row: JudgedRow, smaller: SameSettingRow["smallerThan"], together: Together): string {
  const words = row.verdict === "within-scatter" ? "within scatter" : verdictSaid(row, together);
  if (smaller === "clock-step") return `${words}, by less than a clock step`;
  if (smaller === "worth-having") return `${words}, by less than is worth having`;
  return words;
}

function budgetOf({ aName, bName, comparison }: AccountedComparison, number: number): Block[] {
  const row = tellingHeat(comparison.sameSetting);
  if (row === undefined) return [];
  const columns = [
    wordsColumn("Source"),
    column(aName, row.unit),
    column(bName, row.unit),
    wordsColumn("From"),
    wordsColumn("Counted"),
  ];
  const rows = row.budget.map((line) => [
    line.source,
    figure(line.a, 2),
    figure(line.b, 2),
    line.from,
    line.counted ? "yes" : "no",
  ]);
  const caption = `What makes up the doubt of the ${measureTraits[row.measure].words}, as standard uncertainties.`;
  return table(`budget-${number + 1}`, caption, columns, rows);
}
