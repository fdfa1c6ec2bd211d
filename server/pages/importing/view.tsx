import type {
  ComingLine,
  ImportPreview,
  ImportResult,
  Lines,
  ShownRefusal,
} from "../../actions/importAttempts.ts";
import type { ImportRead } from "../../actions/importMessages.ts";
import type { Build } from "../../bench/things/build.ts";
import { outcomeWords } from "../../bench/things/outcome.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields, FileField, NoteField } from "../../html/field.tsx";
import { formatCount, formatMilli, formatMinutes, formatNumber } from "../../html/format.ts";
import { Missing, Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { paths } from "../paths.ts";
import { ColumnFields, TimeFields, WordFields } from "./mappingFields.tsx";

export type ImportShown = Readonly<{
  builds: readonly Build[];
  workloads: readonly Workload[];
  form: FormState;
  /** Once a file has been read: what it says, and what would become of it. */
  read: ImportRead | null;
  text: string;
}>;
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
      <OnceField once={shown.form.typed.once} />
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
      <OnceField once={shown.form.typed.once} />
      <Fields>
        <BuildField shown={shown} />
      </Fields>
      <WordFields {...mappingProps(shown, read)} />
      {(read.preview?.aboveCeiling ?? 0) > 0 || shown.form.typed.aboveCeiling ? (
        <CeilingField shown={shown} read={read} />
      ) : null}
      <Act>
        {(read.preview?.coming.count ?? 0) > 0 ? (
          <Button first name="act" value="import">
            {`Import ${formatCount(read.preview?.coming.count ?? 0, "attempt")}`}
          </Button>
        ) : null}
        <Button first={(read.preview?.coming.count ?? 0) === 0} name="act" value="look">
          Look again
        </Button>
      </Act>
      <ColumnFields {...mappingProps(shown, read)} />
      <TimeFields {...mappingProps(shown, read)} />
    </Entry>
    {read.preview && read.preview.refused.count + read.preview.waiting.count > 0 ? (
      <Refusals read={read} preview={read.preview} />
    ) : null}
    {read.preview && read.preview.coming.count > 0 ? <Coming shown={shown} preview={read.preview} /> : null}
    <Entry>
      <Fold title="The file as it was read">
        <NoteField
          name="text"
          label="Lines"
          rows={12}
          required
          value={shown.text}
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

function headingOf({ file, preview }: ImportRead): string {
  const lines = formatCount(file.lines, "line");
  if (preview === null) return `${lines}, and something still to settle`;
  const [waiting, bad] = [preview.waiting.count, preview.refused.count];
  const coming = formatCount(preview.coming.count, "attempt").replace(/^no/, "No");
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
  const left = preview.refused.count > 0 ? "Lines that cannot be read are left out. " : "";
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
const Refusals = ({ read, preview: { refused, waiting } }: RefusalsProps) => (
  <Entry id="refused" aside={<p>counted as in the file, the header's first line being 1</p>}>
    {refused.count > 0 ? (
      <>
        <h2>Lines that cannot be taken</h2>
        <RefusedTable caption="Lines that cannot be taken, and why" lines={refused} read={read} />
      </>
    ) : null}
    {waiting.count > 0 ? (
      <Fold title={`${formatCount(waiting.count, "line")} left out until the words above are settled`}>
        <RefusedTable caption="Lines that wait for a word" lines={waiting} read={read} />
      </Fold>
    ) : null}
  </Entry>
);

type RefusedTableProps = Readonly<{ caption: string; lines: Lines<ShownRefusal>; read: ImportRead }>;

const RefusedTable = ({ caption, lines, read: { file } }: RefusedTableProps) => {
  const separator = file.separator === "\t" ? " " : file.separator;
  return (
    <>
      <Table
        caption={caption}
        rows={lines.first}
        columns={[
          { head: "Line", cell: ({ line }) => String(line) },
          { head: "Why", words: true, cell: ({ because }) => because },
          {
            head: "As written",
            words: true,
            cell: ({ cells }) => <code>{shortened(cells.join(separator))}</code>,
          },
        ]}
      />
      <More lines={lines} />
    </>
  );
};

const shortened = (words: string): string => (words.length <= 110 ? words : `${words.slice(0, 108)}…`);

const More = ({ lines: { count, first } }: { lines: Lines<unknown> }) =>
  count > first.length ? <p class="quiet">and {formatNumber(count - first.length)} more.</p> : null;

const Coming = ({ shown, preview }: { shown: ImportShown; preview: ImportPreview }) => {
  const loads = new Map([...shown.workloads, ...preview.newWorkloads].map(({ id, name }) => [id, name]));
  const builds = new Map(shown.builds.map(({ id, name }) => [id, name]));
  return (
    <Entry id="coming" aside={<p>as they would stand in the journal</p>}>
      <h2>Attempts to come</h2>
      {preview.newWorkloads.length > 0 ? (
        <p>With them come new loads: {preview.newWorkloads.map(({ name }) => name).join(", ")}.</p>
      ) : null}
      <Table
        caption="Attempts to come"
        rows={preview.coming.first}
        columns={comingColumns(loads, preview.ofSeveral ? builds : null)}
      />
      <More lines={preview.coming} />
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
