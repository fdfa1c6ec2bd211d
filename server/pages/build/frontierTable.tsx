import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { VoltageAnswer } from "../../bench/best/bestSetting.ts";
import type { Frontier } from "../../bench/frontier/frontier.ts";
import type { ClockPoint, FrontierPoint } from "../../bench/frontier/frontierPoint.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { formatChance, formatMilli, formatMinutes, formatNumber, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

type ClockProps = Readonly<{ buildId: string; clockMhz: number | null; voltageMv: number; what: string }>;

/** A clock that leads to the attempts behind it. */
const ClockLink = ({ buildId, clockMhz, voltageMv, what }: ClockProps) =>
  clockMhz === null ? (
    unknownMark
  ) : (
    <a
      href={paths.attempts(buildId, { clockMhz, voltageMv })}
      aria-label={`${what} ${settingWords({ clockMhz, voltageMv })}: the attempts`}
    >
      {formatNumber(clockMhz)}
    </a>
  );

const Lasts = ({ point }: { point: FrontierPoint }) => {
  const survival = point.evidence.surviveHours[8];
  return survival === null ? (
    unknownMark
  ) : (
    <>
      {formatChance(survival.lower)} · {formatChance(survival.expected)}
    </>
  );
};

const MarginWords = ({ point }: { point: FrontierPoint }) => {
  const { margin, marginC } = point;
  if (marginC === null) return <>–</>;
  const degrees = Math.round(marginC);
  if (margin === "over") return <span class="fault">over by {Math.abs(degrees)}</span>;
  return margin === "tight" ? <span class="warm">tight {degrees}</span> : degrees;
};

const atVoltage = ({ atVoltages }: BuildAnswer, voltageMv: number): VoltageAnswer | undefined =>
  atVoltages.find((one) => one.voltageMv === voltageMv);

/** What to run at a voltage; where the search there is open, the clocks between which it lies. */
const AnswerAt = ({ at }: { at: VoltageAnswer | undefined }) => {
  if (at === undefined) return <>{unknownMark}</>;
  const { clockMhz, done, lowMhz, highMhz, objection } = at;
  if (objection !== null) return <span class="quiet">{formatNumber(clockMhz)}</span>;
  return done || lowMhz === null || highMhz === null || lowMhz === highMhz ? (
    <>{formatNumber(clockMhz)}</>
  ) : (
    <>
      {formatNumber(lowMhz)} to {formatNumber(highMhz)}
    </>
  );
};

const columnsFor = (
  buildId: string,
  hottestAmbientC: number,
  answer: BuildAnswer,
): readonly Column<FrontierPoint>[] => [
  {
    head: "Voltage",
    unit: "V",
    cell: ({ voltageMv }) => (
      <a
        href={paths.attempts(buildId, { voltageMv })}
        aria-label={`All attempts at ${formatMilli(voltageMv)} V`}
      >
        {formatMilli(voltageMv)}
      </a>
    ),
  },
  {
    head: "Held by rule",
    unit: "MHz",
    cell: ({ heldMhz, voltageMv }) => (
      <ClockLink buildId={buildId} clockMhz={heldMhz} voltageMv={voltageMv} what="Held" />
    ),
  },
  {
    head: "Answer",
    unit: "MHz",
    strong: true,
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
  {
    head: "Crashed from",
    unit: "MHz",
    cell: ({ lowestCrashMhz, voltageMv }) => (
      <ClockLink buildId={buildId} clockMhz={lowestCrashMhz} voltageMv={voltageMv} what="Crashed at" />
    ),
  },
  { head: "Clean time", unit: "min", cell: ({ evidence }) => formatMinutes(evidence.exposureS) },
  { head: "Lasts 8 h", unit: "at least · likely", cell: (point) => <Lasts point={point} /> },
  { head: "Hottest", unit: "°C", cell: ({ loadTempC }) => formatNumber(loadTempC, 0) },
  {
    head: "Margin",
    unit: `°C at ${formatNumber(hottestAmbientC)} °C`,
    cell: (point) => <MarginWords point={point} />,
  },
];

type Props = Readonly<{
  buildId: string;
  hottestAmbientC: number;
  frontier: Frontier;
  answer: BuildAnswer;
}>;

/** Highest voltage first: that is where the questions are. */
export const FrontierTable = ({ buildId, hottestAmbientC, frontier, answer }: Props) => (
  <Table
    id="frontier"
    caption="What held, passed and crashed at each voltage"
    columns={columnsFor(buildId, hottestAmbientC, answer)}
    marked={({ voltageMv }) => voltageMv === answer.setting?.voltageMv}
    rows={frontier.points.toReversed()}
  />
);

const volts = (mv: number | null): string => formatMilli(mv);

const clockColumnsFor = (buildId: string): readonly Column<ClockPoint>[] => [
  { head: "Clock", unit: "MHz", strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
  { head: "Held from", unit: "V", cell: ({ heldMv }) => volts(heldMv) },
  { head: "Passed once at", unit: "V", cell: ({ lowestPassedMv }) => volts(lowestPassedMv) },
  { head: "Crashed up to", unit: "V", cell: ({ highestCrashMv }) => volts(highestCrashMv) },
  {
    head: "Lower",
    words: true,
    cell: ({ clockMhz }) => (
      <a
        href={paths.bench({ build: buildId, aim: "voltage", atMhz: clockMhz })}
        aria-label={`Look for the lowest voltage that holds ${formatNumber(clockMhz)} MHz`}
      >
        look lower
      </a>
    ),
  },
];

/** The same record the other way round, for those who lower the voltage. */
export const ClockTable = ({ buildId, frontier }: { buildId: string; frontier: Frontier }) => (
  <Table
    caption="The lowest voltage at which each clock held"
    columns={clockColumnsFor(buildId)}
    rows={frontier.byClock.toReversed()}
  />
);
