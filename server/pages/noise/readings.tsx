import { correctionWords, noiseFindings, underBackgroundWords } from "../../bench/noise/noise.ts";
import type { NoiseReading } from "../../bench/noise/noiseReading.ts";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { conditionWords, type NoiseShown } from "./shown.ts";

/** An upper bound never stands as a plain figure. */
const bounded = (reading: NoiseReading, levelDba: number): string => {
  const { correction } = noiseFindings(reading);
  const isBound = correction === "upper-bound" || correction === "no-background";
  return `${isBound ? "≤ " : ""}${formatNumber(levelDba, 1)}`;
};

const LevelsRead = ({ reading }: { reading: NoiseReading }) => {
  const { levelsDba } = reading;
  const few = levelsDba.slice(0, 5).map((level) => formatNumber(level, 1));
  const rest = levelsDba.length - few.length;
  return (
    <>
      {few.join(" ")}
      {rest > 0 ? ` and ${formatCount(rest, "more", "more")}` : ""}
    </>
  );
};

const columnsOf = (shown: NoiseShown): readonly Column<NoiseReading>[] => [
  {
    head: "Read",
    words: true,
    cell: (reading) => (
      <a
        href={`${paths.noiseReading(reading.id)}#form`}
        aria-current={reading.id === shown.editing?.id ? "true" : undefined}
      >
        <Moment at={reading.takenAt} />
      </a>
    ),
  },
  {
    head: "The build alone",
    unit: "dB(A)",
    strong: true,
    cell: (reading) => {
      const { correctedDba, meanDba } = noiseFindings(reading);
      return bounded(reading, correctedDba ?? meanDba);
    },
  },
  { head: "At", unit: "m", cell: ({ distanceM }) => formatNumber(distanceM) },
  {
    head: "Under",
    words: true,
    cell: (reading) => (
      <>
        {conditionWords(reading, shown)}
        {reading.note ? <span class="quiet"> · {reading.note}</span> : null}
      </>
    ),
  },
  {
    head: "Levels",
    unit: "dB(A)",
    words: true,
    wide: true,
    cell: (reading) => <LevelsRead reading={reading} />,
  },
  {
    head: "Mean",
    unit: "dB(A)",
    wide: true,
    cell: (reading) => formatNumber(noiseFindings(reading).meanDba, 1),
  },
  { head: "Background", unit: "dB(A)", cell: ({ backgroundDba }) => formatNumber(backgroundDba, 1) },
  {
    head: "At 1 m",
    unit: "dB(A)",
    cell: (reading) => bounded(reading, noiseFindings(reading).atOneMetreDba),
  },
  {
    head: "So",
    words: true,
    cell: (reading) => {
      const { correction, isUnderBackground } = noiseFindings(reading);
      return isUnderBackground ? underBackgroundWords : correctionWords[correction];
    },
  },
];

export const ReadingsTable = ({ shown }: { shown: NoiseShown }) => (
  <Table
    id="readings"
    caption="Readings, the newest first"
    columns={columnsOf(shown)}
    rows={shown.answer.readings}
    rowId={(reading) => `reading-${reading.id}`}
    marked={(reading) => reading.id === shown.kept?.id}
  />
);
