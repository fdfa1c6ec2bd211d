import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { OffsetFrontier, OffsetRow } from "../../bench/frontier/offsetFrontier.ts";
import { knobStepInWords } from "../../bench/limit/knobSteps.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import type { PartAnswer } from "../../bench/scale/offsetAnswer.ts";
import { offsetWords } from "../../bench/things/setting.ts";
import { formatMinutes, formatNumber, unknownMark } from "../../html/format.ts";
import { type Column, Table } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { heldLeaves, MarginWords } from "./frontierTable.tsx";

type Props = Readonly<{
  buildId: string;
  hottestAmbientC: number;
  frontier: OffsetFrontier;
  unit: string;
  answer: BuildAnswer;
}>;

const offsetText = (level: number | null): string => (level === null ? unknownMark : offsetWords(level));

type LevelProps = Readonly<{ buildId: string; part: string | null; level: number | null; what: string }>;

/** An offset that leads to the attempts behind it. */
const LevelLink = ({ buildId, part, level, what }: LevelProps) =>
  level === null ? (
    unknownMark
  ) : (
    <a
      href={paths.attempts(buildId, { part, offset: level })}
      aria-label={`${offsetText(level)} ${what}${part === null ? "" : ` on ${part}`}: the attempts`}
    >
      {offsetText(level)}
    </a>
  );

const contestedColumn: Column<OffsetRow> = {
  head: "Contested",
  cell: ({ contested }) => (contested.length === 0 ? "" : contested.length),
};

const columnsFor = ({
  buildId,
  hottestAmbientC,
  unit,
  answer,
  frontier,
}: Props): readonly Column<OffsetRow>[] => {
  const ofPart = (part: string | null): PartAnswer | undefined =>
    answer.byOffset?.parts.find((one) => one.part === part);
  return [
    { head: "Part", words: true, cell: ({ part }) => part ?? "the chip" },
    {
      head: "Held by rule",
      unit,
      cell: ({ part, heldOffset }) => (
        <LevelLink buildId={buildId} part={part} level={heldOffset} what="held" />
      ),
    },
    {
      head: "Answer",
      unit,
      strong: true,
      cell: ({ part }) => offsetText(ofPart(part)?.setting?.level ?? null),
    },
    {
      head: "Its hours pass",
      unit: "in 100",
      cell: ({ part }) => {
        const chance = ofPart(part)?.setting?.chance;
        return chance === undefined ? unknownMark : chanceInWords(chance).replace(" in 100", "");
      },
    },
    {
      head: "Crashed from",
      unit,
      cell: ({ part, easiestCrash }) => (
        <LevelLink buildId={buildId} part={part} level={easiestCrash} what="crashed" />
      ),
    },
    { head: "Clean time", unit: "min", cell: ({ evidence }) => formatMinutes(evidence.exposureS) },
    ...(frontier.rows.some(({ contested }) => contested.length > 0) ? [contestedColumn] : []),
    { head: "Hottest", unit: "°C", cell: ({ loadTempC }) => formatNumber(loadTempC, 0) },
    {
      head: heldLeaves,
      unit: `°C at ${formatNumber(hottestAmbientC)} °C`,
      unitOf: ({ marginC }) => (marginC === null ? "" : "°C"),
      cell: (row) => <MarginWords point={row} />,
    },
  ];
};

/** One row a part: what held, what failed, and what is left to the temperature limit. */
export const PartTable = (props: Props) => (
  <>
    <Table
      id="frontier"
      caption="What held, passed and crashed on each part"
      columns={columnsFor(props)}
      rows={props.frontier.rows}
    />
    <Together frontier={props.frontier} />
    <KnobsBuy {...props} />
  </>
);

/** What moving one knob would buy on each part, all else as it stands now. */
const KnobsBuy = ({ answer, unit }: Props) => {
  const told = (answer.byOffset?.parts ?? []).flatMap(({ part, knobs }) =>
    knobs.map((step) => `${part === null ? "" : `${part}: `}${knobStepInWords(step, unit)}`),
  );
  return told.length === 0 ? null : (
    <>
      <h3>What one step would buy</h3>
      <ul class="rows">
        {told.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </>
  );
};

const Together = ({ frontier: { together } }: Pick<Props, "frontier">) => {
  if (together === null || together.offsets === null) return null;
  return (
    <p class="prose">
      {together.provedTogether
        ? "What is held part by part has run together as long as the rule asks."
        : together.contestedBy.length > 0
          ? "All together failed at what is held part by part, or at less: nobody knows which part it was."
          : "Held one at a time, not proved together."}
    </p>
  );
};
