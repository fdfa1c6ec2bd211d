import type { MergeConflict, MergeResult } from "../../actions/mergeJournal.ts";
import type { Backup } from "../../bench/document/backupRule.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { FileField } from "../../html/field.tsx";
import { formatCount, formatList, formatNumber } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import type { Stop } from "../../store/file/stopping.ts";
import type { Refused } from "../kit/forms.ts";
import { paths } from "../paths.ts";
import { Backups, type ChosenBackup, WithoutLog } from "./backups.tsx";
import type { Returnable } from "./comeBack.ts";
import { sizeWords } from "./sizeWords.ts";

export type { ChosenBackup } from "./backups.tsx";

export type JournalShown = Readonly<{
  counts: readonly Readonly<{ n: number; one: string }>[];
  file: string;
  bytes: number;
  revision: number;
  demo: boolean;
  returnable: readonly Returnable[];
  /** Where the file was just looked over: what is wrong with it. */
  faults: readonly string[] | null;
  merged: MergeResult | null;
  refused: Refused | null;
  importLimit: string;
  backups: readonly Backup[];
  backupFolder: string;
  /** Why the last backup could not be made. */
  backupFault: string | null;
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
    <ComingBack things={shown.returnable} />
    <OtherDevices />
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
      <b>{sizeWords(bytes)}</b>
    </p>
    <p>
      {revision === 0
        ? "not written to since the start"
        : `written to ${formatCount(revision, "time")} since the start`}
    </p>
  </>
);

const Merging = ({ shown: { merged, refused, importLimit } }: { shown: JournalShown }) => (
  <Entry id="merge" aside={<p>at most {importLimit}</p>}>
    <h2>Merge another journal</h2>
    <RefusalNote refused={refused} />
    {merged === null ? null : <Merged merged={merged} />}
    <p class="prose">
      Choose an export of another journal. What is not here is added; of what both hold, the newest edit
      stands; what was edited in both is listed. It is taken whole or not at all.
    </p>
    <form method="post" action={paths.merge()} enctype="multipart/form-data">
      <FileField name="file" label="Exported journal" accept=".json,application/json" required />
      <Act>
        <Button>Merge it</Button>
      </Act>
    </form>
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
              <Button label={`Bring back the ${what} ${name}`}>Bring it back</Button>
            </form>
          </li>
        ))}
      </ul>
    </Entry>
  );

const OtherDevices = () => (
  <Entry id="devices">
    <h2>A phone or another computer at the bench</h2>
    <p class="prose">
      As it starts, only this machine can reach the journal. To let others in, write a passphrase of at least
      eight characters into a file and start with <code>--passphrase-file FILE --host ADDRESS</code>, the
      address being this machine's own on the network. Other devices then open that address with the port, and
      give the passphrase; any user name will do.
    </p>
    <Note>
      What passes between them is not encrypted: do this on a network you trust, never on a public one, and do
      not forward the port to the internet.
    </Note>
  </Entry>
);
