import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { VoltageAnswer } from "../../bench/best/bestSetting.ts";
import type { Frontier } from "../../bench/frontier/frontier.ts";
import type { ClockPoint, FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { wholeDegrees } from "../../bench/frontier/margin.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { formatMilli, formatMinutes, formatNumber, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { paths } from "../paths.ts";

type ClockProps = Readonly<{ buildId: string; clockMhz: number | null; voltageMv: number; what: string }>;

/** A clock that leads to the attempts behind it. */
const ClockLink = ({ buildId, clockMhz, voltageMv, what }: ClockProps) =>
  clockMhz === null ? (
    unknownMark
  ) : (
    <a
      href={paths.attempts(buildId, { clockMhz, voltageMv })}
      aria-label={`${formatNumber(clockMhz)} ${what} at ${formatMilli(voltageMv)} V: the attempts`}
    >
      {formatNumber(clockMhz)}
    </a>
  );

/** What the held clock leaves to the limit; what an answer leaves, which may be another clock, is “to spare”. */
export const heldLeaves = "Held leaves";

export const MarginWords = ({ point }: { point: Pick<FrontierPoint, "margin" | "marginC"> }) => {
  const { margin, marginC } = point;
  if (marginC === null) return <>–</>;
  const degrees = wholeDegrees(marginC);
  if (margin === "over") return <span class="fault">over by {degrees}</span>;
  return margin === "tight" ? <span class="warm">tight {degrees}</span> : degrees;
};

const atVoltage = ({ atVoltages }: BuildAnswer, voltageMv: number): VoltageAnswer | undefined =>
  atVoltages.find((one) => one.voltageMv === voltageMv);

/** What to run at a voltage, as far as it ran; ruled out where heat or the chip's entry forbid it. */
const AnswerAt = ({ at }: { at: VoltageAnswer | undefined }) => {
  if (at === undefined || at.clockMhz === null) return <>{unknownMark}</>;
  const { clockMhz, objection } = at;
  if (objection === null) return <>{formatNumber(clockMhz)}</>;
  return <span class="ruled-out">{formatNumber(clockMhz)} ruled out</span>;
};

/** Where the search is open: the clocks between which the answer will likely lie. None of it ran. */
const reachOf = (at: VoltageAnswer | undefined): string | null => {
  if (at === undefined || at.done || at.objection !== null || at.highMhz === null) return null;
  const { clockMhz, lowMhz, highMhz } = at;
  const fromMhz = Math.max(lowMhz ?? highMhz, clockMhz ?? 0);
  if (highMhz <= (clockMhz ?? 0)) return null;
  return fromMhz < highMhz ? `${formatNumber(fromMhz)} to ${formatNumber(highMhz)}` : formatNumber(highMhz);
};

/** Where the answer is what is held, and its margin is told by forecast, since the reading came early. */
const isForetold = ({ setting }: BuildAnswer, { voltageMv, heldMhz }: FrontierPoint): boolean =>
  setting?.marginFrom === "forecast" && setting.voltageMv === voltageMv && setting.clockMhz === heldMhz;

const reachColumn = (answer: BuildAnswer, clockUnit: string): Column<FrontierPoint> => ({
  head: "May reach",
  unit: `${clockUnit}, not run`,
  wide: true,
  cell: ({ voltageMv }) => <span class="quiet">{reachOf(atVoltage(answer, voltageMv)) ?? unknownMark}</span>,
});

const columnsFor = (
  buildId: string,
  hottestAmbientC: number,
  answer: BuildAnswer,
  clockUnit: string,
): readonly Column<FrontierPoint>[] => [
  {
    head: "Voltage",
    unit: "V",
    cell: ({ voltageMv }) => (
      <a
        href={paths.attempts(buildId, { voltageMv })}
        aria-label={`${formatMilli(voltageMv)} V: all attempts`}
      >
        {formatMilli(voltageMv)}
      </a>
    ),
  },
  {
    head: "Held by rule",
    unit: clockUnit,
    unitOf: ({ heldMhz }) => (heldMhz === null ? "" : clockUnit),
    cell: ({ heldMhz, voltageMv }) => (
      <ClockLink buildId={buildId} clockMhz={heldMhz} voltageMv={voltageMv} what="held" />
    ),
  },
  {
    head: "Answer",
    unit: clockUnit,
    strong: true,
    unitOf: ({ voltageMv }) => {
      const at = atVoltage(answer, voltageMv);
      return at?.objection === null && at.clockMhz !== null ? clockUnit : "";
    },
    cell: ({ voltageMv }) => <AnswerAt at={atVoltage(answer, voltageMv)} />,
  },
  {
    head: "Its hours pass",
    unit: "in 100",
    cell: ({ voltageMv }) => {
      const chance = atVoltage(answer, voltageMv)?.chance ?? null;
      return chance === null ? unknownMark : chanceInWords(chance).replace(" in 100", "");
    },
  },
  ...(answer.atVoltages.some((at) => reachOf(at) !== null) ? [reachColumn(answer, clockUnit)] : []),
  {
    head: "Crashed from",
    unit: clockUnit,
    unitOf: ({ lowestCrashMhz }) => (lowestCrashMhz === null ? "" : clockUnit),
    cell: ({ lowestCrashMhz, voltageMv }) => (
      <ClockLink buildId={buildId} clockMhz={lowestCrashMhz} voltageMv={voltageMv} what="crashed" />
    ),
  },
  { head: "Clean time", unit: "min", wide: true, cell: ({ evidence }) => formatMinutes(evidence.exposureS) },
  { head: "Hottest", unit: "°C", wide: true, cell: ({ loadTempC }) => formatNumber(loadTempC, 0) },
  {
    head: heldLeaves,
    unit: `°C at ${formatNumber(hottestAmbientC)} °C`,
    unitOf: ({ marginC }) => (marginC === null ? "" : "°C"),
    cell: (point) => (
      <>
        <MarginWords point={point} />
        {point.marginC !== null && isForetold(answer, point) ? " as read" : ""}
      </>
    ),
  },
];

type Props = Readonly<{
  buildId: string;
  hottestAmbientC: number;
  frontier: Frontier;
  answer: BuildAnswer;
}>;

/** Highest voltage first: that is where the questions are. */
export const FrontierTable = ({ buildId, hottestAmbientC, frontier, answer }: Props) => {
  const clockUnit = useClockUnit();
  return (
    <Table
      id="frontier"
      caption="What held, passed and crashed at each voltage"
      columns={columnsFor(buildId, hottestAmbientC, answer, clockUnit)}
      marked={({ voltageMv }) => voltageMv === answer.setting?.voltageMv}
      rows={frontier.points.toReversed()}
    />
  );
};

const volts = (mv: number | null): string => formatMilli(mv);

const clockColumnsFor = (buildId: string, clockUnit: string): readonly Column<ClockPoint>[] => [
  { head: "Clock", unit: clockUnit, strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
  { head: "Held from", unit: "V", cell: ({ heldMv }) => volts(heldMv) },
  { head: "Passed once at", unit: "V", cell: ({ lowestPassedMv }) => volts(lowestPassedMv) },
  { head: "Crashed up to", unit: "V", cell: ({ highestCrashMv }) => volts(highestCrashMv) },
  {
    head: "Lower",
    words: true,
    cell: ({ clockMhz }) => (
      <a
        href={paths.bench({ build: buildId, aim: "voltage", atMhz: clockMhz })}
        aria-label={`look lower: the lowest voltage that holds ${formatNumber(clockMhz)} ${clockUnit}`}
      >
        look lower
      </a>
    ),
  },
];

/** The same record the other way round, for those who lower the voltage. */
export const ClockTable = ({ buildId, frontier }: { buildId: string; frontier: Frontier }) => {
  const clockUnit = useClockUnit();
  return (
    <Table
      caption="The lowest voltage at which each clock held"
      columns={clockColumnsFor(buildId, clockUnit)}
      rows={frontier.byClock.toReversed()}
    />
  );
};
