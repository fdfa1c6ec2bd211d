import { type Backup, backupRuleWords } from "../../bench/document/backupRule.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { TextField } from "../../html/field.tsx";
import { formatBytes, formatCount } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import type { Refused } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { paths } from "../paths.ts";

/** A backup that was just looked over. */
export type ChosenBackup = Readonly<{ backup: Backup; faults: readonly string[] }>;

type Shown = Readonly<{
  backups: readonly Backup[];
  backupFolder: string;
  backupFault: string | null;
  now: string;
  chosen: ChosenBackup | null;
  done: string | null;
  once: string;
  lockRefused: Refused | null;
}>;

export const Backups = ({ shown }: { shown: Shown }) => (
  <Entry id="backups" aside={<p>{formatCount(shown.backups.length, "backup")}</p>}>
    <h2>Backups</h2>
    {shown.done === null ? null : (
      <Note kind="done">
        <p>{shown.done}</p>
      </Note>
    )}
    {shown.backupFault === null ? null : (
      <Note>
        <p>The last backup could not be made. {shown.backupFault}</p>
      </Note>
    )}
    <p class="prose">
      Made once a day while Rungbook runs, if anything was recorded since the last, and before an update
      changes the journal. {backupRuleWords} They lie in <code class="path">{shown.backupFolder}</code>; a
      copy on another disk is up to you.
    </p>
    {shown.backups.length === 0 ? null : (
      <ul class="rows">
        {shown.backups.map((backup) => (
          <li key={backup.name}>
            <Moment at={backup.at} />, {formatBytes(backup.bytes)}, {ageWords(backup.at, shown.now)}
            {backup.why === "update" ? ", before an update" : ""}{" "}
            <a href={`${paths.kept(backup.name)}#backups`}>
              Look it over<span class="unseen"> ({backup.name})</span>
            </a>
          </li>
        ))}
      </ul>
    )}
    {shown.chosen === null ? null : <Chosen chosen={shown.chosen} />}
    <form method="post" action={`${paths.backups()}#backups`}>
      <OnceField once={shown.once} />
      <Act>
        <Button>Back up now</Button>
      </Act>
    </form>
    <Locked refused={shown.lockRefused} />
  </Entry>
);

/** For a disk or a place where others may read it. */
const Locked = ({ refused }: { refused: Refused | null }) => (
  <Fold title="Download one that only words open" open={refused !== null} keep="locked">
    <form method="post" action={`${paths.lockedBackup()}#backups`}>
      <TextField
        name="words"
        label="Words to lock it with"
        type="password"
        autocomplete="new-password"
        required
        error={refused?.fields.words ?? refused?.message}
      />
      <p class="prose">
        At least eight characters; five words drawn by chance are good ones. Nothing opens it without them,
        and nobody can find them again. <code>rungbook restore FILE --locked-with WORDS-FILE</code> puts it in
        place.
      </p>
      <Act>
        <Button>Download it locked</Button>
      </Act>
    </form>
  </Fold>
);

function ageWords(at: string, now: string): string {
  const hours = Math.floor((Date.parse(now) - Date.parse(at)) / 3_600_000);
  if (hours < 1) return "less than an hour old";
  return hours < 48
    ? `${formatCount(hours, "hour")} old`
    : `${formatCount(Math.floor(hours / 24), "day")} old`;
}

const Chosen = ({ chosen: { backup, faults } }: { chosen: ChosenBackup }) =>
  faults.length > 0 ? (
    <Note kind="refused">
      <p>{backup.name} is damaged and cannot be put in place.</p>
      <ul>
        {faults.slice(0, 20).map((fault) => (
          <li key={fault}>{fault}</li>
        ))}
      </ul>
    </Note>
  ) : (
    <Note kind="plain">
      <p>
        {backup.name} is whole. Put in place, it takes the place of everything in the journal now; what is
        there now is kept beside it under a name that is told.
      </p>
      <form method="post" action={`${paths.backupRestoration(backup.name)}#backups`}>
        <Act>
          <Button>Put it in place</Button>
          <ButtonLink href={`${paths.journal()}#backups`}>Leave it</ButtonLink>
        </Act>
      </form>
    </Note>
  );

export const WithoutLog = () => (
  <Entry id="without-log">
    <h2>The log that is gone</h2>
    <p class="prose">
      If the log cannot be found, nothing is won by waiting: what it held is lost, and what is shown here is
      all there is. Going on lets the journal be written again. A backup made before may hold more; look
      below.
    </p>
    <form method="post" action={paths.withoutLog()}>
      <Act>
        <Button>Go on without it</Button>
      </Act>
    </form>
  </Entry>
);
