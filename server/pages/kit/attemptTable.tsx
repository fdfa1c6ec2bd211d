import type { Attempt } from "../../bench/things/attempt.ts";
import { formatMilli, formatMinutes, formatNumber } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import type { Column } from "../../html/table.tsx";
import { paths } from "../paths.ts";
import { OutcomeMark } from "./outcomeMark.tsx";
import { settingWords } from "./settingWords.tsx";

type Row = Attempt;
export type LoadNames = ReadonlyMap<string, string>;

const hottestShownC = (attempt: Row): number | null => attempt.peakTempC ?? attempt.loadTempC;

const Words = ({ attempt }: { attempt: Row }) => (
  <>
    {attempt.setAside ? <b>set aside: {attempt.setAside.reason} </b> : null}
    {attempt.note.length > 90 ? `${attempt.note.slice(0, 88)}…` : attempt.note}
  </>
);

/** Attempts as a table has them: each leads to its own page. `times` says the day too where they are not of today. */
export const attemptColumns = (
  loads: LoadNames,
  times: "clock" | "moment" = "moment",
): readonly Column<Row>[] => [
  {
    head: "Time",
    words: true,
    cell: (attempt) => (
      <a href={paths.attempt(attempt.id)} aria-label={`Attempt ${settingWords(attempt)}`}>
        <Moment at={attempt.startedAt} form={times} />
      </a>
    ),
  },
  { head: "Clock", unit: "MHz", strong: true, cell: ({ clockMhz }) => formatNumber(clockMhz) },
  { head: "Voltage", unit: "V", cell: ({ voltageMv }) => formatMilli(voltageMv) },
  { head: "Ran", unit: "min", cell: ({ durationS }) => formatMinutes(durationS) },
  { head: "Ended", words: true, cell: ({ outcome }) => <OutcomeMark outcome={outcome} /> },
  { head: "Load", words: true, cell: ({ workloadId }) => loads.get(workloadId) ?? "" },
  { head: "Hottest", unit: "°C", cell: (attempt) => formatNumber(hottestShownC(attempt)) },
  {
    head: "Note",
    words: true,
    cell: (attempt) => (attempt.setAside || attempt.note ? <Words attempt={attempt} /> : ""),
  },
];

export const loadNames = (workloads: readonly Readonly<{ id: string; name: string }>[]): LoadNames =>
  new Map(workloads.map(({ id, name }) => [id, name]));
