import { invalid } from "../../bench/things/refusal.ts";
import { separatorWords, type TableTold, tableSeparators } from "../../csv/logShape.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields, NumberField } from "../../html/field.tsx";
import type { WaitingLog } from "../../waiting/waitingLogs.ts";
import type { FormState, Typed } from "../kit/forms.ts";
import { paths } from "../paths.ts";

/** By name, since a tab or a blank is no value that a form keeps. */
const nameOf = (separator: TableTold["separator"]): string => separatorWords[separator];

type Props = Readonly<{ log: WaitingLog; form: FormState; first?: boolean }>;

/** The first lines of a log as they stand, and where among them its table begins. */
export const TableForm = ({ log, form, first = false }: Props) => {
  const { typed, refused } = form;
  const { table, firstLines } = log;
  return (
    <form method="post" action={paths.logTable(log.attemptId, log.id)} noValidate>
      <FirstLines lines={firstLines} />
      <Fields>
        <ChoiceField
          name="separator"
          label="Cells are parted by"
          value={typed.separator ?? nameOf(table?.separator ?? ",")}
          choices={tableSeparators.map((one) => ({ value: nameOf(one), title: nameOf(one) }))}
          error={refused?.fields.separator}
        />
        <NumberField
          name="headerAt"
          label="Line that names the columns"
          value={typed.headerAt ?? String(table?.headerAt ?? 1)}
          hint="As counted above; 0 where none does."
          error={refused?.fields.headerAt}
        />
      </Fields>
      <Act>
        <Button first={first}>Look at its columns</Button>
        {first ? (
          <Button formaction={paths.logCancellation(log.attemptId, log.id)}>Throw it away</Button>
        ) : null}
      </Act>
    </form>
  );
};

const shownAtOnce = 16;

/** Counted from 1, as the line that names the columns is. */
const FirstLines = ({ lines }: { lines: readonly string[] }) => (
  <>
    <Lines lines={lines.slice(0, shownAtOnce)} from={1} />
    {lines.length > shownAtOnce ? (
      <Fold title={`Lines ${shownAtOnce + 1} to ${lines.length}`}>
        <Lines lines={lines.slice(shownAtOnce)} from={shownAtOnce + 1} />
      </Fold>
    ) : null}
  </>
);

const Lines = ({ lines, from }: { lines: readonly string[]; from: number }) => (
  <ol start={from}>
    {lines.map((line, at) => (
      <li key={at}>
        <code>{line}</code>
      </li>
    ))}
  </ol>
);

/** Where the table begins, as typed. */
export function tableTyped(typed: Typed): TableTold {
  const separator = tableSeparators.find((one) => nameOf(one) === typed.separator);
  if (separator === undefined)
    throw invalid("That is no way to part cells.", { separator: "Choose one of these." });
  const line = (typed.headerAt ?? "").trim();
  if (!/^\d{1,6}$/.test(line))
    throw invalid("That line cannot be read.", { headerAt: "The number of a line, like 4; 0 for none." });
  return { separator, headerAt: Number(line) };
}
