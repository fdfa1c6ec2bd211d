import { editedApart, type StampedEdit } from "../../bench/document/account.ts";
import type { MergedList } from "../../bench/document/registers.ts";
import { isId } from "../../bench/things/units.ts";
import { Entry, Fold } from "../../html/entry.tsx";
import { formatCount, formatMoment, formatNumber } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import type { Journal } from "../../store/file/journal.ts";
import { plainWords, unitOfField } from "./plainWords.ts";

/** The edits of a thing that is no attempt, each in words, the latest first. */
export type HistoryShown = Readonly<{
  createdAt: string;
  edits: readonly Readonly<{ stamp: string; at: string; words: string; apart: boolean }>[];
}>;

const mostShown = 100;

export function historyOf(list: MergedList, id: string, journal: Journal): HistoryShown | null {
  const thing = journal[list].find(id);
  const edits = journal[list].editsOf(id);
  if (thing === undefined || edits.length === 0) return null;
  const apart = editedApart(list, edits);
  const told = edits.slice(-mostShown).toReversed();
  return {
    createdAt: thing.createdAt,
    edits: told.map(({ stamp, at, changes }) => ({
      ...{ stamp, at, apart: apart.has(stamp) },
      words: changesInWords(changes, journal),
    })),
  };
}

const changesInWords = (changes: StampedEdit["changes"], journal: Journal): string =>
  Object.entries(changes)
    .map(([field, [before, after]]) => {
      const [was, is] = [before, after].map((value) => valueWords(field, value, journal));
      return `${plainWords(field)}: ${was} → ${is}`;
    })
    .join("; ");

function valueWords(field: string, value: unknown, journal: Journal): string {
  if (value === null || value === undefined || value === "") return "blank";
  if (typeof value === "number") return `${formatNumber(value)}${unitOfField(field)}`;
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "string") return textWords(value, journal);
  if (isNumbers(value)) return `${value.map((one) => formatNumber(one)).join(" ")}${unitOfField(field)}`;
  if (Array.isArray(value)) return formatCount(value.length, "entry", "entries");
  return "something else";
}

const instant = /^\d{4}-\d\d-\d\dT[\d:.]+Z$/;

function textWords(value: string, journal: Journal): string {
  if (isId(value)) return nameBehind(value, journal);
  return instant.test(value) ? `${formatMoment(value, "moment")} UTC` : `“${value}”`;
}

/** Few enough to be read one by one. */
const mostNumbers = 12;

const isNumbers = (value: unknown): value is readonly number[] =>
  Array.isArray(value) && value.length <= mostNumbers && value.every((one) => typeof one === "number");

const nameBehind = (id: string, { chips, boards, builds, workloads, rules }: Journal): string =>
  [chips, boards, builds, workloads, rules].map((list) => list.find(id)?.name).find(Boolean) ?? "another";

/** What it was before; nothing at all where it was never edited. */
export const ThingHistory = ({ history }: { history: HistoryShown | null }) =>
  history === null ? null : (
    <Entry id="history" aside={<p>{formatCount(history.edits.length, "edit")}</p>}>
      <HistoryFold history={history} />
    </Entry>
  );

type FoldProps = Readonly<{ history: HistoryShown | null; title?: string }>;

/** The same in an entry that tells of more. */
export const HistoryFold = ({ history, title = "How it was before" }: FoldProps) =>
  history === null ? null : (
    <Fold title={title}>
      <ul class="rows">
        {history.edits.map(({ stamp, at, words, apart }) => (
          <li key={stamp}>
            <Moment at={at} />: {words}
            {apart ? <em> (edited on two benches apart; the later one stands)</em> : null}
          </li>
        ))}
        <li>
          <Moment at={history.createdAt} />: written down
        </li>
      </ul>
    </Fold>
  );
