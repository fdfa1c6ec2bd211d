import type { Build, Mount } from "../../bench/things/build.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { formatCount } from "../../html/format.ts";
import { RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { FormState } from "../kit/forms.ts";
import { type Gone, GoneNotice } from "../kit/goneNotice.tsx";
import { OnceField } from "../kit/once.tsx";
import { type ThingField, ThingFields } from "../kit/thingFields.tsx";
import { type HistoryShown, ThingHistory } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";

export type MountRow = Readonly<{ mount: Mount; attempts: number; pictures: number }>;
export type MountsShown = Readonly<{
  build: Build;
  rows: readonly MountRow[];
  /** The one being edited; null while one is added. */
  editing: Mount | null;
  /** Of the one being edited. */
  history: HistoryShown | null;
  form: FormState;
  gone: Gone | null;
}>;

export const mountFields: readonly ThingField[] = [
  {
    name: "mountedAt",
    label: "Put on at",
    kind: "instant",
    hint: "Like 2031-05-04 15:42 UTC; left blank, now.",
  },
  { name: "paste", label: "Paste", kind: "text" },
  { name: "note", label: "Note", kind: "note" },
];

const mountFieldsOf = (mount: Mount | null): readonly ThingField[] =>
  mount !== null && mount.mountedAt === null
    ? mountFields.map((field) =>
        field.name === "mountedAt"
          ? { ...field, hint: "The first mount came with the build and needs no date." }
          : field,
      )
    : mountFields;

export const MountsPage = ({ frame, shown }: { frame: Frame; shown: MountsShown }) => (
  <Document title={`Mounts of ${shown.build.name}`} frame={frame}>
    <Entry aside={<a href={paths.build(shown.build.id)}>{shown.build.name}</a>}>
      <Answer heading={`${shown.build.name}: ${formatCount(shown.rows.length, "mount")}`}>
        Each time the cooler is taken off and put back, temperatures may shift by some degrees. An attempt
        belongs to the latest mount before it.
      </Answer>
      <GoneNotice gone={shown.gone} />
      <Table caption="Mounts, the newest first" columns={columnsOf(shown)} rows={shown.rows} />
    </Entry>
    <Entry id="form">
      <h2>{shown.editing === null ? "The cooler was put on again" : "Change this mount"}</h2>
      <RefusalNote refused={shown.form.refused} />
      <form method="post" action={actionOf(shown)} data-guard noValidate>
        <OnceField once={shown.form.typed.once} />
        {shown.editing === null ? null : (
          <input type="hidden" name="version" value={shown.form.typed.version} />
        )}
        <ThingFields fields={mountFieldsOf(shown.editing)} form={shown.form} />
        <Act>
          <Button first>{shown.editing === null ? "Add the mount" : "Save"}</Button>
          {shown.editing === null ? null : (
            <ButtonLink href={paths.mounts(shown.build.id)}>Leave it as it is</ButtonLink>
          )}
        </Act>
      </form>
      {shown.editing === null ? null : <Deletion shown={shown} mount={shown.editing} />}
    </Entry>
    <ThingHistory history={shown.history} />
  </Document>
);

const actionOf = ({ build, editing }: MountsShown): string =>
  editing === null ? paths.mounts(build.id) : paths.mount(editing.id);

const columnsOf = ({ editing }: MountsShown): readonly Column<MountRow>[] => [
  {
    head: "Put on",
    words: true,
    cell: ({ mount }) => (
      <a href={`${paths.mount(mount.id)}#form`} aria-current={mount.id === editing?.id ? "true" : undefined}>
        {mount.mountedAt === null ? "with the build" : <Moment at={mount.mountedAt} />}
      </a>
    ),
  },
  { head: "Paste", words: true, cell: ({ mount }) => mount.paste },
  { head: "Attempts", cell: ({ attempts }) => (attempts === 0 ? "none" : String(attempts)) },
  { head: "Note", words: true, cell: ({ mount }) => mount.note },
  {
    head: "Pictures",
    cell: ({ mount, pictures }) => (
      <a href={paths.pictures("mounts", mount.id)}>{pictures === 0 ? "attach" : String(pictures)}</a>
    ),
  },
];

const Deletion = ({ shown: { rows }, mount }: { shown: MountsShown; mount: Mount }) => {
  const attempts = rows.find((row) => row.mount.id === mount.id)?.attempts ?? 0;
  if (attempts > 0) return <p class="quiet">It stays while {formatCount(attempts, "attempt")} ran on it.</p>;
  if (rows.length === 1) return <p class="quiet">A build has at least one mount; this is its only one.</p>;
  return (
    <form method="post" action={paths.deletion("mounts", mount.id)}>
      <Act>
        <Button>Delete this mount</Button>
      </Act>
    </form>
  );
};
