import { crashesInWords } from "../../bench/limit/acceptance.ts";
import { type CurvePoint, type FittedLimit, voltageForInWords } from "../../bench/limit/limitCurve.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields, NumberField } from "../../html/field.tsx";
import { formatMilli, formatNumber, formatSigned } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { useClockUnit } from "../kit/clockUnit.ts";
import { paths } from "../paths.ts";

/** No finer than the fit is. */
const toFive = (mhz: number | null): string => formatNumber(mhz === null ? null : Math.round(mhz / 5) * 5, 0);

const columnsFor = (clockUnit: string): readonly Column<CurvePoint>[] => [
  { head: "Voltage", unit: "V", cell: ({ voltageMv }) => formatMilli(voltageMv) },
  { head: "Limit", unit: clockUnit, strong: true, cell: ({ limitMhz }) => toFive(limitMhz) },
  { head: "At least", unit: clockUnit, cell: ({ lowMhz }) => toFive(lowMhz) },
  { head: "At most", unit: clockUnit, cell: ({ highMhz }) => toFive(highMhz) },
];

const mostRows = 12;

/** Every so many points of the curve, the first and the last among them. */
function thinned(curve: readonly CurvePoint[]): CurvePoint[] {
  const stride = Math.max(1, Math.ceil((curve.length - 1) / (mostRows - 1)));
  return curve.filter((_, i) => i % stride === 0 || i === curve.length - 1);
}

type Props = Readonly<{ limit: FittedLimit; workloads: ReadonlyMap<string, Workload> }>;

/** What the fit says in numbers: the curve, its slope, what lighter loads gain, and what nothing explains. */
export const LimitFigures = ({ limit, workloads }: Props) => {
  const { curve, slopeMhzPer10Mv, offsets, temperature, strayPerHour, workloadId } = limit;
  const clockUnit = useClockUnit();
  const nameOf = (id: string | null): string => workloads.get(id ?? "")?.name ?? "the heaviest load";
  return (
    <>
      <Table
        caption={`The clock that nine in ten one-hour runs survive under ${nameOf(workloadId)}, and where it lies nine times in ten`}
        captionShown
        narrow="across"
        columns={columnsFor(clockUnit)}
        rows={thinned(curve).toReversed()}
      />
      <ul class="rows">
        {slopeMhzPer10Mv === null ? null : (
          <li>
            In the middle of what was tried, 10 mV more carry about {formatNumber(slopeMhzPer10Mv, 0)}{" "}
            {clockUnit}.
          </li>
        )}
        {offsets.map(({ workloadId: id, mhz, low, high }) => (
          <li key={id}>
            {nameOf(id)}: {formatSigned(mhz)} {clockUnit} against {nameOf(workloadId)} ({formatSigned(low)} to{" "}
            {formatSigned(high)}).
          </li>
        ))}
        <li>{temperature.because}</li>
        <li>
          Besides the clock, {crashesInWords(strayPerHour.mid / 60)} that no setting explains, as far as the
          record tells.
        </li>
      </ul>
    </>
  );
};

/** A clock typed to be held, and what is wrong with it. */
export type Holding = Readonly<{ typed: string; clockMhz: number | null; refused: string | null }>;

type VoltageProps = Readonly<{
  buildId: string;
  limit: FittedLimit;
  holding: Holding;
  kept: Readonly<Record<string, string>>;
}>;

/** The limit asked the other way round: the lowest voltage for a clock, and the way to look for it. */
export const VoltageFor = ({ buildId, limit, holding, kept }: VoltageProps) => (
  <Fold title="The lowest voltage for a clock" open={holding.typed !== ""}>
    <form method="get" action={`${paths.build(buildId)}#limit-words`}>
      {Object.entries(kept).map(([name, value]) =>
        name === "holds" ? null : <input key={name} type="hidden" name={name} value={value} />,
      )}
      <Fields>
        <NumberField
          name="holds"
          label="Clock to hold"
          unit={useClockUnit()}
          value={holding.typed}
          error={holding.refused ?? undefined}
        />
        <Button>What it takes</Button>
      </Fields>
    </form>
    {limit.voltageFor ? <p class="lead">{voltageForInWords(limit.voltageFor, useClockUnit())}</p> : null}
    {holding.clockMhz === null ? null : (
      <Act>
        <ButtonLink href={paths.bench({ build: buildId, aim: "voltage", atMhz: holding.clockMhz })}>
          Look for it on the bench
        </ButtonLink>
      </Act>
    )}
  </Fold>
);
