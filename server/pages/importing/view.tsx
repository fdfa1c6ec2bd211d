import type { ComingLine, ImportPreview, ImportResult } from "../../actions/importAttempts.ts";
import type { Build } from "../../bench/things/build.ts";
import { outcomeWords } from "../../bench/things/outcome.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { AttemptFile } from "../../csv/attemptFile.ts";
import type { AttemptMapping } from "../../csv/attemptMapping.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields, FileField, NoteField } from "../../html/field.tsx";
import { formatCount, formatMilli, formatMinutes, formatNumber } from "../../html/format.ts";
import { Missing, Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { FormState } from "../kit/forms.ts";
import { paths } from "../paths.ts";
import { ColumnFields, TimeFields, WordFields } from "./mappingFields.tsx";

export type ImportShown = Readonly<{
  builds: readonly Build[];
  workloads: readonly Workload[];
  form: FormState;
  /** Once a file has been read: what it says, and what would become of it. */
  read: ImportRead | null;
}>;
export type ImportRead = Readonly<{
  file: AttemptFile;
  text: string;
  mapping: AttemptMapping;
  /** Stands for all that the preview rests on: only what was seen is imported. */
  seen: string;
  /** Null while the columns are not settled. */
  preview: ImportPreview | null;
}>;

const linesShown = 200;

export const ImportPage = ({ frame, shown }: { frame: Frame; shown: ImportShown }) => (
  <Document title="Import attempts" frame={frame}>
    {shown.builds.length === 0 ? (
      <NoBuild />
    ) : shown.read === null ? (
      <Beginning shown={shown} />
    ) : (
      <Settling shown={shown} read={shown.read} />
    )}
  </Document>
);

const NoBuild = () => (
  <Entry aside={<a href={paths.journal()}>the journal</a>}>
    <Answer heading="Import attempts from a file">
      Attempts belong to a build, and the journal has none yet. Write down a build first.
    </Answer>
    <Act>
      <ButtonLink href={paths.newBuild()} first>
        Add a build
      </ButtonLink>
    </Act>
  </Entry>
);

const BuildField = ({ shown: { builds, form } }: { shown: ImportShown }) => (
  <ChoiceField
    name="build"
    label="Build"
    required
    value={form.typed.build}
    hint="Lines that name a build of their own go there."
    error={form.refused?.fields.build}
    choices={builds.map(({ id, name }) => ({ value: id, title: name }))}
  />
);

const Beginning = ({ shown }: { shown: ImportShown }) => (
  <Entry aside={<a href={paths.journal()}>the journal</a>}>
    <Answer heading="Import attempts from a file">
      A table as text, with a header line: any order of columns, commas, semicolons or tabs, units in the
      header. Nothing is written before you have seen each line.
    </Answer>
    <RefusalNote refused={shown.form.refused} />
    <form method="post" action={paths.importAttempts()} enctype="multipart/form-data" noValidate>
      <Fields>
        <BuildField shown={shown} />
        <FileField
          name="file"
          label="File"
          accept=".csv,.tsv,.txt,text/csv,text/plain"
          hint="At most 16 MiB."
        />
      </Fields>
      <NoteField
        name="text"
        label="Or paste the lines"
        rows={6}
        value={shown.form.typed.text}
        error={shown.form.refused?.fields.text}
      />
      <input type="hidden" name="here" value="" data-zone />
      <Act>
        <Button first>Look at it</Button>
      </Act>
    </form>
  </Entry>
);

type SettlingProps = Readonly<{ shown: ImportShown; read: ImportRead }>;

const Settling = ({ shown, read }: SettlingProps) => (
  <form method="post" action={paths.importAttempts()} enctype="multipart/form-data" noValidate>
    <Entry aside={<a href={paths.importAttempts()}>another file</a>}>
      <Answer heading={headingOf(read)}>{leadOf(read)}</Answer>
      <RefusalNote refused={shown.form.refused} />
      <input type="hidden" name="seen" value={read.seen} />
      <Fields>
        <BuildField shown={shown} />
      </Fields>
      <WordFields {...mappingProps(shown, read)} />
      {(read.preview?.aboveCeiling ?? 0) > 0 || shown.form.typed.aboveCeiling ? (
        <CeilingField shown={shown} read={read} />
      ) : null}
      <Act>
        {(read.preview?.coming.length ?? 0) > 0 ? (
          <Button first name="act" value="import">
            {`Import ${formatCount(read.preview?.coming.length ?? 0, "attempt")}`}
          </Button>
        ) : null}
        <Button first={(read.preview?.coming.length ?? 0) === 0} name="act" value="look">
          Look again
        </Button>
      </Act>
      <ColumnFields {...mappingProps(shown, read)} />
      <TimeFields {...mappingProps(shown, read)} />
    </Entry>
    {read.preview && read.preview.refused.length > 0 ? <Refusals read={read} preview={read.preview} /> : null}
    {read.preview && read.preview.coming.length > 0 ? <Coming shown={shown} preview={read.preview} /> : null}
    <Entry>
      <Fold title="The file as it was read">
        <NoteField
          name="text"
          label="Lines"
          rows={12}
          required
          value={read.text}
          hint="Mend a line here, then look again. Nothing of the file itself is changed."
        />
      </Fold>
    </Entry>
  </form>
);

const mappingProps = (shown: ImportShown, { file, mapping }: ImportRead) => ({
  file,
  mapping,
  workloads: shown.workloads,
  refused: shown.form.refused?.fields ?? {},
});

const waitingIn = ({ refused }: ImportPreview): number => refused.filter(({ waits }) => waits).length;

function headingOf({ file, preview }: ImportRead): string {
  const lines = formatCount(file.lines, "line");
  if (preview === null) return `${lines}, and something still to settle`;
  const waiting = waitingIn(preview);
  const bad = preview.refused.length - waiting;
  const coming = formatCount(preview.coming.length, "attempt").replace(/^no/, "No");
  const words = [
    `${coming} can be imported`,
    bad > 0 ? `${formatCount(bad, "line")} cannot` : "",
    waiting > 0 ? `${formatCount(waiting, "line")} ${waiting === 1 ? "waits" : "wait"} for a word` : "",
  ];
  return words.filter(Boolean).join(", ");
}

function leadOf({ preview }: ImportRead): string {
  if (preview === null)
    return "Once it is settled, each line is shown with what becomes of it. Nothing is written yet.";
  const already =
    preview.already === 0
      ? ""
      : `${formatCount(preview.already, "line")} ${preview.already === 1 ? "is" : "are"} in the journal already and ${preview.already === 1 ? "stays" : "stay"} as ${preview.already === 1 ? "it is" : "they are"}. `;
  const left = preview.refused.length > waitingIn(preview) ? "Lines that cannot be read are left out. " : "";
  return `${already}${left}Nothing is written yet.`;
}

const CeilingField = ({ shown, read }: SettlingProps) => (
  <>
    <Note>
      A voltage above the ceiling set for the chip can shorten its life at once. Lines above it are taken only
      where they are meant.
    </Note>
    <CheckField
      name="aboveCeiling"
      label={`The ${formatCount(read.preview?.aboveCeiling ?? 0, "line")} above the ceiling are meant`.replace(
        "no lines",
        "lines",
      )}
      checked={shown.form.typed.aboveCeiling === "true"}
    />
  </>
);

type RefusalsProps = Readonly<{ read: ImportRead; preview: ImportPreview }>;

/** What cannot be taken is shown; what only waits for a word above is folded away, but told line by line too. */
const Refusals = ({ read, preview }: RefusalsProps) => {
  const [bad, waiting] = [
    preview.refused.filter((one) => !one.waits),
    preview.refused.filter((one) => one.waits),
  ];
  return (
    <Entry id="refused" aside={<p>counted as in the file, the header's first line being 1</p>}>
      {bad.length > 0 ? (
        <>
          <h2>Lines that cannot be taken</h2>
          <RefusedTable caption="Lines that cannot be taken, and why" rows={bad} read={read} />
        </>
      ) : null}
      {waiting.length > 0 ? (
        <Fold title={`${formatCount(waiting.length, "line")} left out until the words above are settled`}>
          <RefusedTable caption="Lines that wait for a word" rows={waiting} read={read} />
        </Fold>
      ) : null}
    </Entry>
  );
};

type RefusedTableProps = Readonly<{ caption: string; rows: ImportPreview["refused"]; read: ImportRead }>;

const RefusedTable = ({ caption, rows, read: { file } }: RefusedTableProps) => {
  const cells = cellsOfLines(file, new Set(rows.slice(0, linesShown).map(({ line }) => line)));
  const separator = file.shape.separator === "\t" ? " " : file.shape.separator;
  return (
    <>
      <Table
        caption={caption}
        rows={rows.slice(0, linesShown)}
        columns={[
          { head: "Line", cell: ({ line }) => String(line) },
          { head: "Why", words: true, cell: ({ because }) => because },
          {
            head: "As written",
            words: true,
            cell: ({ line }) => <code>{shortened((cells.get(line) ?? []).join(separator))}</code>,
          },
        ]}
      />
      <More all={rows.length} />
    </>
  );
};

function cellsOfLines({ records }: ImportRead["file"], wanted: ReadonlySet<number>) {
  const cells = new Map<number, readonly string[]>();
  for (const record of records) if (wanted.has(record.line)) cells.set(record.line, record.cells);
  return cells;
}

const shortened = (words: string): string => (words.length <= 110 ? words : `${words.slice(0, 108)}…`);

const More = ({ all }: { all: number }) =>
  all > linesShown ? <p class="quiet">and {formatNumber(all - linesShown)} more.</p> : null;

const Coming = ({ shown, preview }: { shown: ImportShown; preview: ImportPreview }) => {
  const loads = new Map([...shown.workloads, ...preview.newWorkloads].map(({ id, name }) => [id, name]));
  const builds = new Map(shown.builds.map(({ id, name }) => [id, name]));
  const several = new Set(preview.coming.map(({ buildId }) => buildId)).size > 1;
  return (
    <Entry id="coming" aside={<p>as they would stand in the journal</p>}>
      <h2>Attempts to come</h2>
      {preview.newWorkloads.length > 0 ? (
        <p>With them come new workloads: {preview.newWorkloads.map(({ name }) => name).join(", ")}.</p>
      ) : null}
      <Table
        caption="Attempts to come"
        rows={preview.coming.slice(0, linesShown)}
        columns={comingColumns(loads, several ? builds : null)}
      />
      <More all={preview.coming.length} />
    </Entry>
  );
};

type Names = ReadonlyMap<string, string>;

const comingColumns = (loads: Names, builds: Names | null): readonly Column<ComingLine>[] => [
  { head: "Line", cell: ({ line }) => String(line) },
  {
    head: "Started",
    words: true,
    cell: ({ draft }) => (draft.startedAt ? <Moment at={draft.startedAt} /> : "not said"),
  },
  ...(builds === null
    ? []
    : [{ head: "Build", words: true, cell: ({ buildId }: ComingLine) => builds.get(buildId) ?? "" }]),
  { head: "Clock", unit: "MHz", strong: true, cell: ({ draft }) => formatNumber(draft.clockMhz) },
  { head: "Voltage", unit: "V", cell: ({ draft }) => formatMilli(draft.voltageMv) },
  { head: "Ran", unit: "min", cell: ({ draft }) => formatMinutes(draft.durationS) },
  { head: "Ended", words: true, cell: ({ draft }) => outcomeWords[draft.outcome] },
  { head: "Load", words: true, cell: ({ draft }) => loads.get(draft.workloadId) ?? "" },
  {
    head: "Hottest",
    unit: "°C",
    cell: ({ draft }) => hottestWords(draft.peakTempC ?? draft.loadTempC ?? null),
  },
  { head: "Room", unit: "°C", cell: ({ draft }) => hottestWords(draft.ambientC ?? null) },
];

const hottestWords = (c: number | null): string => (c === null ? "" : formatNumber(c, 1));

export type ImportDone = Readonly<{ result: ImportResult; build: Build }>;

export const ImportedPage = ({ frame, done }: { frame: Frame; done: ImportDone }) => {
  const { result, build } = done;
  return (
    <Document title="Imported" frame={frame}>
      <Entry aside={<a href={paths.journal()}>the journal</a>}>
        <Answer heading={`${formatCount(result.added, "attempt")} imported`.replace(/^no/, "No")}>
          {result.already > 0
            ? `${formatCount(result.already, "line")} in the journal already, left as they were. `
            : ""}
          {result.refused > 0 ? `${formatCount(result.refused, "line")} left out.` : ""}
        </Answer>
        {result.added + result.already === 0 ? (
          <Missing>Nothing was added.</Missing>
        ) : (
          <Act>
            <ButtonLink href={paths.build(build.id)} first>
              {`How far ${build.name} goes`}
            </ButtonLink>
            <ButtonLink href={paths.attempts(build.id)}>Its attempts</ButtonLink>
            <ButtonLink href={paths.importAttempts({ build: build.id })}>Another file</ButtonLink>
          </Act>
        )}
      </Entry>
    </Document>
  );
};
