import {
  type Effect,
  effectsByMeasure,
  effectWords,
  type MeasureEffects,
} from "../../bench/comparison/changeEffects.ts";
import { aloneWords, sidedDigits, verdictWords } from "../../bench/comparison/verdict.ts";
import { ChartFigure, ChartLinks } from "../../html/chartFigure.tsx";
import { Entry, Fold, PhoneFold } from "../../html/entry.tsx";
import { decimalsFor, formatNumber, formatSigned } from "../../html/format.ts";
import { type IntervalRow, IntervalSvg } from "../../html/intervalSvg.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";

export type BuildNames = ReadonlyMap<string, string>;

const digitsOf = ({ low, high, difference }: Effect): number => {
  if (low !== null && high !== null) return Math.min(2, decimalsFor((high - low) / 2));
  return Number.isInteger(difference) ? 0 : 1;
};

export const rangeWords = (effect: Effect): string => {
  const { low, high } = effect;
  const digits = sidedDigits(digitsOf(effect), low, high);
  if (low === null && high === null) return "";
  if (low === null) return `at most ${formatNumber(high, digits)}`;
  if (high === null) return `at least ${formatNumber(low, digits)}`;
  return `${formatNumber(low, digits)} to ${formatNumber(high, digits)}`;
};

export const differenceWords = (effect: Effect): string =>
  `${formatSigned(effect.difference, digitsOf(effect))} ${effect.unit}`.trim();

type Standing = Props["standing"];

const standsAlone = (effect: Effect, standing: Standing): boolean =>
  effect.verdict === "differs" && !standing.has(effect);

const notAmongAll = `${aloneWords}, not among all`;
/** Beside a bar. */
const shortly: Readonly<Record<string, string>> = {
  [verdictWords["within-scatter"]]: "within scatter",
  [notAmongAll]: "by itself",
};

/** A clock between brackets was observed and is not judged. */
const verdictOf = (effect: Effect, standing: Standing): string => {
  const { measure, verdict, low, high } = effect;
  if (standsAlone(effect, standing)) return notAmongAll;
  return measure === "clock" && verdict === "not-enough" && (low !== null || high !== null)
    ? "observed only"
    : verdictWords[verdict];
};

const changeWords = ({ change }: Effect): string => change || "a change not named";

const drawn = (effect: Effect, { standing, isNamed }: Pick<Props, "standing" | "isNamed">): IntervalRow => {
  const range = rangeWords(effect);
  return {
    label: isNamed ? "" : changeWords(effect),
    scale: effect.unit || "score",
    value: effect.difference,
    low: effect.low,
    high: effect.high,
    words: `${differenceWords(effect)}${range ? ` (${range})` : ""}`,
    verdict: shortly[verdictOf(effect, standing)] ?? verdictOf(effect, standing),
    decided: effect.verdict === "differs" && !standsAlone(effect, standing),
  };
};

const counts = (pair: readonly [number, number] | null): string =>
  pair === null ? "" : `${pair[0]} · ${pair[1]}`;

const smallWords = { "clock-step": "under a clock step", "worth-having": "too small to care" } as const;

const columnsOf = (
  { names, head, standing, isNamed }: Props,
  effects: readonly Effect[],
): readonly Column<Effect>[] => [
  ...(isNamed ? [] : [nameColumn(head, names)]),
  { head: "Difference", strong: true, cell: differenceWords },
  { head: "95 %", cell: rangeWords },
  {
    head: "Verdict",
    words: true,
    cell: (effect) =>
      effect.smallerThan === null
        ? verdictOf(effect, standing)
        : `${verdictOf(effect, standing)}, ${smallWords[effect.smallerThan]}`,
  },
  { head: "Where", words: true, cell: ({ setting }) => <span class="quiet">{setting}</span> },
  ...(effects.some(({ runs }) => runs !== null)
    ? [{ head: "Runs", cell: ({ runs }: Effect) => counts(runs) }]
    : []),
  ...(effects.some(({ mounts }) => mounts !== null)
    ? [{ head: "Mounts", cell: ({ mounts }: Effect) => counts(mounts) }]
    : []),
];

const nameColumn = (head: string, names: Props["names"]): Column<Effect> => ({
  head,
  words: true,
  cell: (effect) => (
    <>
      <a href={paths.compare({ a: effect.from, b: effect.to })}>{changeWords(effect)}</a>
      {names === null ? null : (
        <>
          <br />
          <span class="quiet">
            {names.get(effect.from)} to {names.get(effect.to)}
          </span>
        </>
      )}
    </>
  ),
});

type Props = Readonly<{
  effects: readonly Effect[];
  /** What a row is called: a change, or a build beside another. */
  head: string;
  /** Names of the builds, where a row needs them said. */
  names: BuildNames | null;
  /** What the chart's figures are: what less what. */
  caption: string;
  nothing: string;
  /** Those that differ with all of them judged together. */
  standing: ReadonlySet<Effect>;
  /** All are of one change, which the page names above them. */
  isNamed: boolean;
}>;

/** What the bars are is said under the first picture alone. */
const MeasurePicture = ({ of, props, first }: { of: MeasureEffects; props: Props; first: boolean }) => {
  const { measure, effects } = of;
  const rows = effects.slice(0, mostDrawn).map((effect) => drawn(effect, props));
  const title = `${props.caption}: ${effectWords(measure)}, with 95 % intervals`;
  return (
    <>
      <ChartFigure
        name={`effect-${measure}`}
        kind="still"
        caption={
          first ? `${props.caption}. Bar: where the difference may lie, 95 %. Hollow: not decided.` : null
        }
        narrow={<IntervalSvg title={title} rows={rows} nothing={props.nothing} narrow />}
      >
        <IntervalSvg title={title} rows={rows} nothing={props.nothing} />
      </ChartFigure>
      <PhoneFold title="In figures">
        <Table
          id={`effect-table-${measure}`}
          caption={`${props.caption}: ${effectWords(measure)}`}
          columns={columnsOf(props, effects)}
          rows={effects}
        />
      </PhoneFold>
      <WouldDecide effects={effects} />
    </>
  );
};

const mostDrawn = 12;

const WouldDecide = ({ effects }: { effects: readonly Effect[] }) => {
  const undecided = effects.find(({ verdict, wouldDecide }) => verdict === "not-enough" && wouldDecide);
  return undecided?.wouldDecide ? (
    <p class="prose quiet">
      {undecided.change || "A change not named"}: {undecided.wouldDecide}
    </p>
  ) : null;
};

const titled = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}`;

/** What a tester asks first; the rest is a fold away. */
const foremost: readonly MeasureEffects["measure"][] = ["loadRise", "noise", "clock", "power", "score"];

/** Measure by measure, the largest difference first. */
export const EffectSections = (props: Props) => {
  const all = effectsByMeasure(props.effects);
  const first = all.filter(({ measure }) => foremost.includes(measure));
  const others = all.filter(({ measure }) => !foremost.includes(measure));
  return (
    <>
      {first.map((of, at) => (
        <Entry
          key={of.measure}
          aside={<ChartLinks name={`effect-${of.measure}`} table={`effect-table-${of.measure}`} />}
        >
          <h2>{titled(effectWords(of.measure))}</h2>
          <MeasurePicture of={of} props={props} first={at === 0} />
        </Entry>
      ))}
      {others.length > 0 ? (
        <Entry>
          <h2>Other measures</h2>
          {others.map((of) => (
            <Fold key={of.measure} title={titled(effectWords(of.measure))}>
              <MeasurePicture of={of} props={props} first={first.length === 0} />
            </Fold>
          ))}
        </Entry>
      ) : null}
    </>
  );
};
