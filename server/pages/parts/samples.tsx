import type { SamplesOfChip } from "../../answers/samplesOfChip.ts";
import type { OffsetSamples, RankedSample } from "../../bench/comparison/samples.ts";
import { Entry } from "../../html/entry.tsx";
import { formatMilli, formatNumber, formatSigned } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";

export type ModelShown = Readonly<{ samples: SamplesOfChip; load: string | null }>;

type Placed = Pick<RankedSample, "chipId" | "name" | "place">;

const whose: readonly Column<Placed>[] = [
  { head: "Place", cell: ({ place }) => String(place) },
  {
    head: "Sample",
    words: true,
    cell: ({ chipId, name }) => <a href={paths.part("chips", chipId)}>{name}</a>,
  },
];

const columnsFor = (clockUnit: string): readonly Column<RankedSample>[] => [
  ...whose,
  { head: "Held by rule", unit: clockUnit, strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
  {
    head: "Limit of an hour",
    unit: clockUnit,
    cell: ({ lowMhz, highMhz }) =>
      lowMhz === null || highMhz === null
        ? "not fitted"
        : `${formatNumber(lowMhz, 0)} to ${formatNumber(highMhz, 0)}`,
  },
];

const offsetColumns = ({ unit }: OffsetSamples): readonly Column<OffsetSamples["samples"][number]>[] => [
  ...whose,
  {
    head: "Held by rule",
    ...(unit !== "counts" && { unit }),
    strong: true,
    cell: ({ offset }) => formatSigned(offset, Number.isInteger(offset) ? 0 : 3),
  },
];

const ByOffset = ({ model, byOffset }: { model: string; byOffset: OffsetSamples }) =>
  byOffset.samples.length === 0 ? null : (
    <>
      <Table caption={`Samples of ${model}`} columns={offsetColumns(byOffset)} rows={byOffset.samples} />
      <p class="quiet prose">
        {byOffset.name}: the hardest that passed once for as long as the rule asks
        {byOffset.samples.some(({ parts }) => parts > 0)
          ? ", of each sample in the part that goes least far"
          : ""}
        ; one pass may lie beyond the limit by luck. Clocks and voltages are readings here and rank nobody.
      </p>
    </>
  );

/** The samples of each model that the journal knows two or more of, the furthest first, and what that says of another. */
export const Samples = ({ models }: { models: readonly ModelShown[] }) => (
  <>
    {models.map(({ samples, load }) => (
      <Entry
        key={`${samples.model} ${samples.byOffset?.name ?? ""}`}
        aside={
          samples.byOffset ? (
            <p>{load === null ? "no load in common yet" : `under ${load}`}</p>
          ) : samples.voltageMv === null ? (
            <p>no voltage in common yet</p>
          ) : (
            <p>
              at {formatMilli(samples.voltageMv)} V, under {load}
            </p>
          )
        }
      >
        <h2>Samples of {samples.model}</h2>
        <p class="lead">{samples.sentence}</p>
        {samples.byOffset ? <ByOffset model={samples.model} byOffset={samples.byOffset} /> : null}
        {samples.samples.length > 0 ? (
          <>
            <Table
              caption={`Samples of ${samples.model}`}
              columns={columnsFor(samples.clockUnit)}
              rows={samples.samples}
            />
            <p class="quiet prose">
              Held by rule is the highest clock that passed once for as long as the rule asks. The limit is
              where nine in ten hours pass, told from every attempt and with nine chances in ten; one pass may
              lie above it by luck.
            </p>
          </>
        ) : null}
      </Entry>
    ))}
  </>
);
