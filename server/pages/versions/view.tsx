import type { Build } from "../../bench/things/build.ts";
import { type Version, versionSubjects } from "../../bench/things/version.ts";
import { Act, Button } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { Missing, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { FormState } from "../kit/forms.ts";
import { type Gone, GoneNotice } from "../kit/goneNotice.tsx";
import { OnceField } from "../kit/once.tsx";
import { type ThingField, ThingFields } from "../kit/thingFields.tsx";
import { HistoryFold, type HistoryShown } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";

type VersionRow = Readonly<{ version: Version; history: HistoryShown | null }>;
export type VersionsShown = Readonly<{
  build: Build;
  rows: readonly VersionRow[];
  form: FormState;
  gone: Gone | null;
}>;

export const versionFields: readonly ThingField[] = [
  {
    name: "of",
    label: "Of the",
    kind: "choice",
    required: true,
    choices: versionSubjects.map((value) => ({ value, title: value })),
  },
  { name: "name", label: "Version", kind: "text", required: true },
  { name: "since", label: "Since", kind: "instant", hint: "Like 2031-05-04 15:42 UTC; left blank, now." },
  { name: "note", label: "Note", kind: "note" },
];

export const VersionsPage = ({ frame, shown }: { frame: Frame; shown: VersionsShown }) => (
  <Document title={`Firmware and driver of ${shown.build.name}`} frame={frame}>
    <Entry aside={<a href={paths.build(shown.build.id)}>{shown.build.name}</a>}>
      <Answer heading={`${shown.build.name}: firmware and driver`}>
        After an update earlier attempts count as another state, until one setting was repeated with the same
        end under the same load.
      </Answer>
      <GoneNotice gone={shown.gone} />
      {shown.rows.length === 0 ? (
        <Missing>No version is written down yet.</Missing>
      ) : (
        <Table caption="Versions, the newest first" columns={columns} rows={shown.rows} />
      )}
      {shown.rows.map(({ version, history }) => (
        <HistoryFold
          key={version.id}
          history={history}
          title={`How ${version.of} ${version.name} was written down before`}
        />
      ))}
    </Entry>
    <Entry id="form">
      <h2>It was updated</h2>
      <RefusalNote refused={shown.form.refused} />
      <form method="post" action={paths.versions(shown.build.id)} data-guard noValidate>
        <OnceField once={shown.form.typed.once} />
        <ThingFields fields={versionFields} form={shown.form} />
        <Act>
          <Button first>Add the version</Button>
        </Act>
      </form>
    </Entry>
  </Document>
);

const columns: readonly Column<VersionRow>[] = [
  {
    head: "Since",
    words: true,
    cell: ({ version: { since } }) => (since === null ? "the beginning" : <Moment at={since} />),
  },
  { head: "Of the", words: true, cell: ({ version }) => version.of },
  { head: "Version", words: true, strong: true, cell: ({ version }) => version.name },
  { head: "Note", words: true, cell: ({ version }) => version.note },
  {
    head: "",
    words: true,
    cell: ({ version: { id, of, name } }) => (
      <form method="post" action={paths.deletion("versions", id)}>
        <button type="submit" aria-label={`Delete ${of} ${name}`}>
          Delete
        </button>
      </form>
    ),
  },
];
