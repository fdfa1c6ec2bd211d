import { editedApart } from "../../bench/document/account.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type Outcome, outcomeWords } from "../../bench/things/outcome.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { unknownMark } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import type { Edit } from "../../store/attempts/attemptEdits.ts";
import { fieldNamed, fieldWords } from "../attemptForm/formFields.ts";

type Props = Readonly<{
  edits: readonly Edit[];
  chip: Chip | undefined;
  createdAt: string;
  workloads: readonly Workload[];
}>;

/** Every edit, newest first: what each field was, and is. */
export const EditHistory = ({ edits, ...rest }: Props) => (
  <Edits edits={edits} apart={editedApart("attempts", edits)} {...rest} />
);

const Edits = ({
  edits,
  apart,
  chip,
  createdAt,
  workloads,
}: Props & Readonly<{ apart: ReadonlySet<string> }>) => (
  <ul class="rows">
    {edits.toReversed().map((edit) => (
      <li key={edit.stamp}>
        <Moment at={edit.at} />:{" "}
        {Object.entries(edit.changes)
          .flatMap(([name, [before, after]]) => changeWords(name, before, after, workloads, chip) ?? [])
          .join("; ")}
        {apart.has(edit.stamp) ? <em> (edited on two benches apart; the later one stands)</em> : null}
      </li>
    ))}
    <li>
      <Moment at={createdAt} />: recorded
    </li>
  </ul>
);

/** Null for what is kept for the program's own use. */
function changeWords(
  name: string,
  before: unknown,
  after: unknown,
  workloads: readonly Workload[],
  chip: Chip | undefined,
): string | null {
  if (name === "setAside")
    return after === null ? "put back" : `set aside: ${(after as { reason: string }).reason}`;
  if (name === "outcome")
    return `how it ended: ${outcomeWords[before as Outcome]} → ${outcomeWords[after as Outcome]}`;
  if (name === "aboveCeiling") return after ? "above the ceiling: confirmed" : null;
  if (name === "mountId") return "another mount";
  const field = fieldNamed(name);
  if (!field) return null;
  const words = (value: unknown): string =>
    name === "workloadId"
      ? (workloads.find(({ id }) => id === value)?.name ?? "another load")
      : fieldWords(field, value, chip);
  const label = field.title.toLowerCase();
  return words(before) === unknownMark
    ? `${label}: ${words(after)}`
    : `${label}: ${words(before)} → ${words(after)}`;
}
