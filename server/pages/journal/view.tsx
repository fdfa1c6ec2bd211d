import type { MergeConflict, MergeResult } from "../../actions/mergeTally.ts";
import type { Backup } from "../../bench/document/backupRule.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { FileField } from "../../html/field.tsx";
import { formatBytes, formatCount, formatList, formatNumber } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { Stop } from "../../store/file/stopping.ts";
import type { Refused } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { paths } from "../paths.ts";
import { Backups, type ChosenBackup, WithoutLog } from "./backups.tsx";
import type { Returnable } from "./comeBack.ts";
import { Devices, type DevicesShown } from "./devices.tsx";
import type { UndoableEdit } from "./editsLately.ts";
import type { UndoableMerge } from "./mergesLately.ts";

export type { ChosenBackup } from "./backups.tsx";

export type JournalShown = Readonly<{
  counts: readonly Readonly<{ n: number; one: string }>[];
  file: string;
  bytes: number;
  revision: number;
  once: string;
  demo: boolean;
  returnable: readonly Returnable[];
  /** Where the file was just looked over: what is wrong with it. */
  faults: readonly string[] | null;
  merged: MergeResult | null;
  /** Merges that can still be undone, the latest first. */
  merges: readonly UndoableMerge[];
  undone: string | null;
  /** How much was deleted too long ago to come back, and is not blanked. */
  blankable: number;
  blanked: string | null;
  /** The edits of the last day that can be undone. */
  lately: readonly UndoableEdit[];
  edited: string | null;
  refused: Refused | null;
  lockRefused: Refused | null;
  importLimit: string;
  backups: readonly Backup[];
  backupFolder: string;
  /** Why the last backup could not be made. */
  backupFault: string | null;
  devices: DevicesShown;
  stopped: Stop["because"] | null;
  now: string;
  chosen: ChosenBackup | null;
  done: string | null;
}>;

export const JournalPage = ({ frame, shown }: { frame: Frame; shown: JournalShown }) => (
  <Document title="Journal" frame={frame}>
    <Entry aside={<Size shown={shown} />}>
      <Answer heading={headingOf(shown)}>
        {restOf(shown)}All of it is one file on this machine
        {shown.demo ? ", made up for this demo and gone when it ends" : ""}:{" "}
        <code class="path">{shown.file}</code>
      </Answer>
      <p class="lead">
        A backup is the file itself, whole, traces and all; put it back below, or with{" "}
        <code>rungbook restore</code>. An export is readable by other programs and can be merged into another
        journal, sensor traces as packed.
      </p>
      <Act>
        <ButtonLink href={paths.backup()} first more={{ download: true }}>
          Download a backup
        </ButtonLink>
        <ButtonLink href="/api/export" more={{ download: "journal.json" }}>
          Export as JSON
        </ButtonLink>
        <ButtonLink href={paths.importAttempts()}>Import attempts from CSV</ButtonLink>
        <ButtonLink href={paths.promises()}>What is promised</ButtonLink>
      </Act>
    </Entry>
    {shown.stopped === "log-gone" ? <WithoutLog /> : null}
    <Backups shown={shown} />
    <Merging shown={shown} />
    <Integrity faults={shown.faults} />
    <EditedLately shown={shown} />
    <ComingBack things={shown.returnable} />
    <Blanking shown={shown} />
    <Devices shown={shown.devices} />
  </Document>
);

function headingOf({ counts: [attempts, builds] }: JournalShown): string {
  if (!attempts) return "The journal cannot be read whole";
  if (attempts.n === 0) return "The journal holds no attempts yet";
  return `${formatCount(attempts.n, attempts.one)} on ${formatCount(builds?.n ?? 0, "build")}`;
}

/** What else is in it. */
function restOf({ counts: [, , ...rest] }: JournalShown): string {
  const words = rest.filter(({ n }) => n > 0).map(({ n, one }) => formatCount(n, one));
  return words.length === 0 ? "" : `Also in it: ${formatList(words)}. `;
}

const Size = ({ shown: { bytes, revision } }: { shown: JournalShown }) => (
  <>
    <p>
      <b>{formatBytes(bytes)}</b>
    </p>
    <p>
      {revision === 0
        ? "not written to since the start"
        : `written to ${formatCount(revision, "time")} since the start`}
    </p>
  </>
);

const Merging = ({ shown }: { shown: JournalShown }) => <MergeEntry {...shown} />;

const MergeEntry = ({ merged, merges, undone, refused, importLimit, once }: JournalShown) => (
  <Entry id="merge" aside={<p>at most {importLimit}</p>}>
    <h2>Merge another journal</h2>
    <RefusalNote refused={refused} />
    {undone === null ? null : (
      <Note kind="done">
        <p>{undone}</p>
      </Note>
    )}
    {merged === null ? null : <Merged merged={merged} />}
    <p class="prose">
      Choose an export of another journal. What is not here is added; of each field that both hold, the latest
      edit stands; what was edited apart is listed, and both edits stay in the history. What was deleted there
      goes, unless it was edited or used here meanwhile. An attempt that still runs there comes once it has
      ended. Journals that were merged into one another hold the same, in whatever order that was done. It is
      taken whole or not at all.
    </p>
    <form method="post" action={paths.merge()} enctype="multipart/form-data">
      <FileField name="file" label="Exported journal" accept=".json,application/json" required />
      <Act>
        <Button>Merge it</Button>
      </Act>
    </form>
    <Undoable merges={merges} once={once} />
  </Entry>
);

const Undoable = ({ merges, once }: Pick<JournalShown, "merges" | "once">) =>
  merges.length === 0 ? null : (
    <ul class="rows">
      {merges.map(({ id, at, what, name }) => (
        <li key={id}>
          <form method="post" action={`${paths.mergeUndoing(id)}#merge`}>
            <OnceField once={once} />
            {what} <Moment at={at} />: {name} <Button label={`Undo it: ${what} ${name}`}>Undo it</Button>
          </form>
        </li>
      ))}
    </ul>
  );

const EditedLately = ({ shown: { lately, edited, once } }: { shown: JournalShown }) =>
  lately.length === 0 && edited === null ? null : (
    <Entry id="edited" aside={<p>for a day after it was edited</p>}>
      <h2>Edited, and can be undone</h2>
      {edited === null ? null : (
        <Note kind="done">
          <p>{edited}</p>
        </Note>
      )}
      <ul class="rows">
        {lately.map((edit) => (
          <li key={edit.id}>
            <UndoForm edit={edit} once={once} />
          </li>
        ))}
      </ul>
    </Entry>
  );

const UndoForm = ({ edit, once }: { edit: UndoableEdit; once: string }) => {
  const { list, id, at, fields, many } = edit;
  const what = many > 1 ? "attempts" : edit.what;
  const name = many > 1 ? `${formatNumber(many)} at once` : edit.name;
  const address = many > 1 ? paths.editsUndoing() : paths.editUndoing(list, id);
  return (
    <form method="post" action={`${address}#edited`}>
      <OnceField once={once} />
      {many > 1 ? <input type="hidden" name="at" value={at} /> : null}
      {what} <b>{name}</b>, edited <Moment at={at} />: {fields}{" "}
      <Button label={`Undo it: the edit of the ${what} ${name}`}>Undo it</Button>
    </form>
  );
};

const Blanking = ({ shown: { blankable, blanked, once } }: { shown: JournalShown }) =>
  blankable === 0 && blanked === null ? null : (
    <Entry id="blanking" aside={<p>{formatCount(blankable, "thing")}</p>}>
      <h2>Deleted more than a day ago</h2>
      {blanked === null ? null : (
        <Note kind="done">
          <p>{blanked}</p>
        </Note>
      )}
      {blankable === 0 ? null : (
        <form method="post" action={`${paths.blanking()}#blanking`}>
          <OnceField once={once} />
          <p class="prose">
            {formatCount(blankable, "deleted thing")}: kept, so that the deletion reaches other journals when
            they are merged, and shown nowhere. Blanked, the names, notes, pictures, traces and histories are
            gone for good, here and on every bench that merges this journal. Figures stay, and what they are
            told by: the names of offsets, knobs, places and parts, how knobs stood, and what a score is
            counted in. That cannot be undone.
          </p>
          <Act>
            <Button>Blank for good</Button>
          </Act>
        </form>
      )}
    </Entry>
  );

const Merged = ({ merged: { added, updated, unchanged, conflicts } }: { merged: MergeResult }) => (
  <>
    <Note kind="done">
      <p>
        {formatNumber(added)} added, {formatNumber(updated)} updated, {formatNumber(unchanged)} unchanged.
      </p>
    </Note>
    {conflicts.length > 0 ? (
      <Table
        caption="Edited in both journals"
        captionShown
        columns={conflictColumns}
        rows={conflicts.slice(0, 200)}
      />
    ) : null}
  </>
);

const conflictColumns: readonly Column<MergeConflict>[] = [
  { head: "What", words: true, cell: ({ kind, name }) => (name === kind ? kind : `${kind} ${name}`) },
  {
    head: "Kept",
    words: true,
    cell: ({ kept }) => (kept === "here" ? "what was here" : "what was imported"),
  },
  { head: "Why", words: true, cell: ({ because }) => because },
];

const Integrity = ({ faults }: { faults: readonly string[] | null }) => (
  <Entry id="integrity">
    <h2>Is the file whole?</h2>
    {faults === null ? null : faults.length === 0 ? (
      <Note kind="done">
        <p>Every page of the file was looked over: it is whole.</p>
      </Note>
    ) : (
      <Note kind="refused">
        <p>
          Something is wrong with the file. Keep a copy of it as it is, then restore the latest backup with{" "}
          <code>rungbook restore</code>.
        </p>
        <ul>
          {faults.slice(0, 20).map((fault) => (
            <li key={fault}>{fault}</li>
          ))}
        </ul>
      </Note>
    )}
    <form method="get" action={`${paths.integrity()}#integrity`}>
      <Act>
        <Button>{faults === null ? "Look it over" : "Look it over again"}</Button>
      </Act>
    </form>
  </Entry>
);

const ComingBack = ({ things }: { things: readonly Returnable[] }) =>
  things.length === 0 ? null : (
    <Entry id="deleted" aside={<p>for a day after it was deleted</p>}>
      <h2>Deleted, and can still come back</h2>
      <ul class="rows">
        {things.map(({ thing, id, what, name, deletedAt }) => (
          <li key={id}>
            <form method="post" action={paths.restoration(thing, id)}>
              {what} <b>{name}</b>, deleted <Moment at={deletedAt} />{" "}
              <Button label={`Bring it back: the ${what} ${name}`}>Bring it back</Button>
            </form>
          </li>
        ))}
      </ul>
    </Entry>
  );
