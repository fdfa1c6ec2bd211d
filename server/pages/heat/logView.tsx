import type { ComponentChildren } from "preact";
import type { ColumnGlimpse } from "../../bench/logs/columnProposal.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields, NumberField } from "../../html/field.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import type { WaitingLog } from "../../waiting/waitingLogs.ts";
import { type FormState, freshForm } from "../kit/forms.ts";
import { LogForm } from "../kit/logForm.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { choiceOf, columnChoices, columnField, matchAt, mostAsked } from "./columnsTyped.ts";
import { TableForm } from "./tableForm.tsx";

type PageProps = Readonly<{ frame: Frame; attempt: Attempt; chip: Chip | undefined }>;

const Page = ({ frame, attempt, chip, children }: PageProps & { children: ComponentChildren }) => (
  <Document title={`Sensor log, ${settingWords(attempt, chip)}`} frame={frame}>
    {children}
  </Document>
);

const Whose = ({ attempt, chip }: Pick<PageProps, "attempt" | "chip">) => (
  <a href={paths.attempt(attempt.id)}>{settingWords(attempt, chip)}</a>
);

/** The log was refused before its columns could be shown. */
export const LogRefusedPage = ({
  frame,
  attempt,
  chip,
  form,
  waiting,
}: PageProps & { form: FormState; waiting: readonly WaitingLog[] }) => (
  <Page frame={frame} attempt={attempt} chip={chip}>
    <Entry aside={<Whose attempt={attempt} chip={chip} />}>
      <Answer heading="That log could not be taken">Nothing of it was kept.</Answer>
      <LogForm attempt={attempt} form={form} />
    </Entry>
    {waiting.length > 0 ? (
      <Entry aside={<b>Logs that wait</b>}>
        <ul class="rows">
          {waiting.map((log) => (
            <li key={log.id}>
              <Waiting log={log} />
            </li>
          ))}
        </ul>
      </Entry>
    ) : null}
  </Page>
);

/** A log that waits or is being read: look at it, or throw it away. */
const Waiting = ({ log }: { log: WaitingLog }) => (
  <form method="post" action={paths.logCancellation(log.attemptId, log.id)}>
    <a href={paths.log(log.attemptId, log.id)}>
      {formatNumber(Math.max(0.1, log.bytes / 1_000_000), 1)} MB,{" "}
      {log.state.kind === "untabled"
        ? "its table still to be found"
        : `${formatCount(log.names.length, "column")}: ${log.names.slice(0, 3).join(", ")}`}
    </a>
    {log.state.kind === "reading" ? ", being read " : " "}
    <Button>Throw it away</Button>
  </form>
);

type LogProps = PageProps & Readonly<{ log: WaitingLog; form: FormState }>;

/** Where no table was seen in a log: its first lines, and where among them it begins. */
export const TablePage = ({ frame, attempt, chip, log, form }: LogProps) => (
  <Page frame={frame} attempt={attempt} chip={chip}>
    <Entry aside={<Whose attempt={attempt} chip={chip} />}>
      <Answer heading="Where does its table begin?">
        {log.state.kind === "untabled" ? `${log.state.because} ` : ""}These are its first lines; say which of
        them names the columns, and nothing of the file needs to be changed.
      </Answer>
      <RefusalNote refused={form.refused} />
      <TableForm log={log} form={form} first />
    </Entry>
  </Page>
);

/** The second step: what each column means, as proposed or as it was settled for this header before. */
export const ColumnsPage = ({ frame, attempt, chip, log, form }: LogProps) => {
  const places = log.names.map((_, at) => at).slice(0, mostAsked);
  const isLikely = (at: number) =>
    !["", "own"].includes(form.typed[columnField(at)] ?? choiceOf(matchAt(log, at)));
  const isWrong = (at: number) => form.refused?.fields[columnField(at)] !== undefined;
  const isTimed = places.some((at) =>
    (form.typed[columnField(at)] ?? choiceOf(matchAt(log, at))).startsWith("time|"),
  );
  const first = places.filter((at) => isLikely(at) || isWrong(at));
  const rest = places.filter((at) => !first.includes(at));
  return (
    <Page frame={frame} attempt={attempt} chip={chip}>
      <Entry aside={<Whose attempt={attempt} chip={chip} />}>
        <Answer heading={`${formatCount(log.names.length, "column")}: is this what they mean?`}>
          {log.isRemembered
            ? "As it was settled for a log with this header before."
            : isNamed(log)
              ? "As the header and the first rows suggest; it will be remembered for logs with the same header."
              : "The log has no header, so its columns are named by hand; this is what their first rows suggest."}
        </Answer>
        <RefusalNote refused={form.refused} />
        {isTimed || form.refused ? null : (
          <Note kind="plain">
            None of them looks like a time. Choose the one that is, among the other columns, or say how far
            the rows lie apart.
          </Note>
        )}
        <form method="post" action={paths.logReading(attempt.id, log.id)} noValidate>
          <Fields>
            {first.map((at) => (
              <ColumnField key={at} at={at} log={log} form={form} />
            ))}
          </Fields>
          {hasCounter(log, form) || !isTimed ? (
            <Fields>
              <NumberField
                name="everyS"
                label="From row to row"
                unit="s"
                value={form.typed.everyS ?? (isTimed ? String(everyOf(log) ?? 1) : "")}
                hint={
                  isTimed
                    ? "The log counts its rows; say how far they lie apart."
                    : "Where no column is the time: how far its rows lie apart."
                }
                error={form.refused?.fields.everyS}
              />
            </Fields>
          ) : null}
          {rest.length > 0 ? (
            <Fold title={`${formatCount(rest.length, "other column")}`} open={first.length < 2 || !isTimed}>
              <Fields>
                {rest.map((at) => (
                  <ColumnField key={at} at={at} log={log} form={form} />
                ))}
              </Fields>
            </Fold>
          ) : null}
          {log.names.length > mostAsked ? (
            <p class="quiet">
              The {formatNumber(log.names.length - mostAsked)} columns after these are kept under their own
              names, where they hold numbers.
            </p>
          ) : null}
          {form.refused?.fields.sure ? (
            <Fields>
              <CheckField name="sure" label="It is meant: the run was that long" value="yes" />
            </Fields>
          ) : null}
          <Act>
            <Button first>Read the log</Button>
            <Button formaction={paths.logCancellation(attempt.id, log.id)}>Leave it</Button>
          </Act>
        </form>
        <Fold title="Its table begins elsewhere">
          <TableForm log={log} form={freshForm()} />
        </Fold>
      </Entry>
    </Page>
  );
};

const everyOf = ({ proposal }: WaitingLog): number | null =>
  proposal.find(({ everyS }) => everyS !== null)?.everyS ?? null;

const isNamed = ({ names }: WaitingLog): boolean => names.some((name, at) => name !== `column ${at + 1}`);

const hasCounter = ({ proposal, columns }: WaitingLog, form: FormState): boolean =>
  proposal.some(({ unit, channel }) => channel === "time" && unit === "count") ||
  columns.some((_, at) => form.typed[columnField(at)] === "time|count");

const ColumnField = ({ at, log, form }: { at: number; log: WaitingLog; form: FormState }) => (
  <ChoiceField
    name={columnField(at)}
    label={log.names[at] || `column ${at + 1}`}
    value={form.typed[columnField(at)] ?? choiceOf(matchAt(log, at))}
    none="left out"
    choices={columnChoices}
    hint={glimpseWords(log.columns[at])}
    error={form.refused?.fields[columnField(at)]}
  />
);

function glimpseWords(column: ColumnGlimpse | undefined): string {
  if (column === undefined || column.kind === "blank") return "blank in the first rows";
  const [low, high] = column.numbers.reduce(
    ([least, most], value) => [Math.min(least, value), Math.max(most, value)],
    [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
  );
  if (column.kind !== "number" || low > high) return `begins with ${(column.firstCell ?? "").slice(0, 30)}`;
  return low === high
    ? `${formatNumber(low)} in the first rows`
    : `${formatNumber(low)} to ${formatNumber(high)} in the first rows`;
}

/** The log is being read: how far it is, and the way out. The piece asks for itself again. */
export const ReadingPage = ({ frame, attempt, chip, log }: PageProps & { log: WaitingLog }) => (
  <Page frame={frame} attempt={attempt} chip={chip}>
    <Entry aside={<Whose attempt={attempt} chip={chip} />}>
      <ReadingPiece attempt={attempt} log={log} />
    </Entry>
  </Page>
);

export const ReadingPiece = ({ attempt, log }: { attempt: Attempt; log: WaitingLog }) => {
  const { state } = log;
  if (state.kind === "done") return <DonePiece attempt={attempt} log={log} />;
  const { bytes, rows } = state.kind === "reading" ? state : { bytes: 0, rows: 0 };
  const address = paths.log(attempt.id, log.id);
  return (
    <div id="log-reading" hx-get={address} hx-trigger="every 1s" hx-swap="outerHTML">
      <Answer heading="Reading the log">Nothing of it is in the journal until it has been read whole.</Answer>
      <p>
        <progress value={bytes} max={log.bytes} aria-label="How much of the log is read" />
      </p>
      <p aria-live="polite">
        {formatNumber(bytes / 1_000_000, 0)} of {formatNumber(Math.max(1, log.bytes / 1_000_000), 0)} MB,{" "}
        {formatCount(rows, "row")} so far.
      </p>
      <Act>
        <ButtonLink href={address}>Look how far it is</ButtonLink>
        <form method="post" action={paths.logCancellation(attempt.id, log.id)}>
          <Button>Stop reading, keep nothing</Button>
        </form>
      </Act>
    </div>
  );
};

const DonePiece = ({ attempt, log: { state } }: { attempt: Attempt; log: WaitingLog }) =>
  state.kind !== "done" ? null : (
    <div id="log-reading">
      <Answer heading={`${formatCount(state.taken.log.rows, "row")} read`}>
        {formatCount(state.taken.log.channels.length, "channel")}:{" "}
        {state.taken.log.channels
          .map(({ channel }) => channel)
          .slice(0, 12)
          .join(", ")}
        .
      </Answer>
      <Remarks title="Lines left out" remarks={state.taken.log.skipped} />
      <Remarks title="Times straightened" remarks={state.taken.log.adjusted} />
      <Act>
        <ButtonLink first href={paths.heatRun(attempt.id)}>
          Where did it level out?
        </ButtonLink>
      </Act>
    </div>
  );

type Remarked = readonly Readonly<{ line: number; because: string }>[];

const Remarks = ({ title, remarks }: { title: string; remarks: Remarked }) =>
  remarks.length === 0 ? null : (
    <Note kind="plain">
      <p>{title}:</p>
      <ul>
        {remarks.slice(0, 10).map(({ line, because }) => (
          <li key={line}>
            line {formatNumber(line)}: {because}
          </li>
        ))}
        {remarks.length > 10 ? <li>and {formatNumber(remarks.length - 10)} more</li> : null}
      </ul>
    </Note>
  );
