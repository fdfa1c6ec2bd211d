import { randomBytes } from "node:crypto";
import { rmSync, statSync } from "node:fs";
import path from "node:path";
import type { Rescued } from "../answers/wholeJournal.ts";
import type { Backup } from "../bench/document/backupRule.ts";
import { conflict, missing, Refusal, type RefusalCode } from "../bench/things/refusal.ts";
import { backupsIn } from "../store/file/backupFolder.ts";
import { type Journal, openToRead } from "../store/file/journal.ts";

/** What a thread is asked to do with the journal's file and its backups. */
export type FileWork =
  | Readonly<{ kind: "take-log-in"; journal: string }>
  | Readonly<{ kind: "back-up"; journal: string; folder: string; now: string }>
  | Readonly<{ kind: "look-over"; file: string }>
  | Readonly<{ kind: "lock"; plain: string; to: string; words: string }>
  | Readonly<{ kind: "export-damaged"; journal: string; to: string; now: string; migrations: string }>
  | Readonly<{ kind: "rescue"; journal: string; to: string; migrations: string }>
  | Readonly<{
      kind: "replace";
      journal: string;
      folder: string;
      backup: string;
      now: string;
      migrations: string;
    }>;

export type FileAnswer =
  | Readonly<{ done: unknown }>
  | Readonly<{ refused: { code: RefusalCode; message: string } }>;

export type FileRooms = Readonly<{
  journal: Journal;
  /** Where backups are kept. */
  folder: string;
  migrations: string;
  now(): string;
  /** Hands work to the thread for it. */
  ask(kind: string, work: FileWork): Promise<unknown>;
}>;

/** The journal's file and its backups: what can be asked and done of them while the server runs. */
export type JournalFiles = ReturnType<typeof journalFilesOf>;

export function journalFilesOf({ journal, folder, migrations, now, ask }: FileRooms) {
  let lastFault: string | null = null;
  let restoring = false;

  async function done<Done>(work: FileWork): Promise<Done> {
    const answer = (await ask(work.kind, work)) as FileAnswer;
    if ("refused" in answer) throw new Refusal(answer.refused.code, answer.refused.message);
    return answer.done as Done;
  }

  const backups = (): readonly Backup[] => backupsIn(folder, journal.original);

  function known(name: string): string {
    if (!backups().some((backup) => backup.name === name)) throw missing("backup");
    return name;
  }

  async function backUp(): Promise<Backup> {
    try {
      const made = await done<Backup>({ kind: "back-up", journal: journal.file, folder, now: now() });
      lastFault = null;
      return made;
    } catch (error) {
      lastFault = error instanceof Error ? error.message : String(error);
      throw error;
    }
  }

  const besideJournal = (): string =>
    path.join(path.dirname(journal.file), `.${path.basename(journal.file)}.download-${journal.newId(now())}`);

  /** Writes wait meanwhile; what was in the journal is kept beside it under the name this gives. */
  async function restore(name: string): Promise<string> {
    const stop = journal.stopped();
    if (stop !== null && journal.file !== journal.original) throw conflict(stop.words);
    if (restoring) throw conflict("A backup is being put in place already.");
    const work = {
      kind: "replace",
      journal: journal.file,
      folder,
      backup: known(name),
      now: now(),
      migrations,
    } as const;
    restoring = true;
    const letGo = journal.holdWrites();
    try {
      const aside = await done<string>(work);
      journal.replaced();
      return aside;
    } finally {
      letGo();
      restoring = false;
    }
  }

  return {
    folder,
    backups,
    backUp,
    restore,
    /** Why the last backup could not be made; null where it was. */
    lastFault: () => lastFault,
    /** Sentences on what is wrong with the journal, or with one of its backups. */
    faults: (name?: string) =>
      done<string[]>({
        kind: "look-over",
        file: name === undefined ? journal.file : path.join(folder, known(name)),
      }),
    /** A backup in a file of its own, to be sent and then removed. */
    async backupToSend(): Promise<{ file: string; remove(): void }> {
      const at = besideJournal();
      const remove = () => rmSync(at, { recursive: true, force: true });
      try {
        const work = { kind: "back-up", journal: journal.file, folder: at, now: now() } as const;
        const { name } = await done<Backup>(work);
        return { file: path.join(at, name), remove };
      } catch (error) {
        remove();
        throw error;
      }
    },
    /** The same, locked with words. */
    async lockedToSend(words: string): Promise<{ file: string; remove(): void }> {
      const plain = await this.backupToSend();
      const to = `${plain.file}.locked`;
      try {
        await done<void>({ kind: "lock", plain: plain.file, to, words });
        return { file: to, remove: plain.remove };
      } catch (error) {
        plain.remove();
        throw error;
      }
    },
    /** What can be read of a damaged journal, as a document in a file of its own, to be sent and then removed. */
    async damagedToSend(): Promise<{ file: string; remove(): void }> {
      const to = besideJournal();
      const remove = () => rmSync(to, { force: true });
      try {
        const work = { kind: "export-damaged", journal: journal.file, to, now: now(), migrations } as const;
        await done<readonly string[]>(work);
        return { file: to, remove };
      } catch (error) {
        remove();
        throw error;
      }
    },
    /** What can be read of a damaged journal as one of its own, open to read; closing it takes it away. */
    async rescued(): Promise<Rescued & { close(): void }> {
      const to = besideJournal();
      const work = { kind: "rescue", journal: journal.file, to, migrations } as const;
      const lost = await done<readonly string[]>(work);
      const saved = openToRead(to, { migrations, randomBytes });
      rmSync(to, { force: true });
      return { journal: saved, lost, close: saved.close };
    },
    /** Takes the log in, so that the one file is the journal; most of it in the thread. */
    async settle(): Promise<void> {
      if (journal.stopped() !== null) return;
      const before = journal.revision();
      await done<void>({ kind: "take-log-in", journal: journal.file });
      if (journal.revision() === before) journal.settle();
    },
    /** Whether anything was written since the newest backup, which is a day old or older. */
    isDue(): boolean {
      if (journal.stopped() !== null || journal.attempts.count() === 0) return false;
      const [newest] = backups().filter(({ why }) => why === "day");
      if (newest === undefined) return true;
      const dayOld = Date.parse(now()) - Date.parse(newest.at) >= 86_400_000;
      return dayOld && writtenMs(journal.file) > Date.parse(newest.at);
    },
  };
}

const writtenMs = (file: string): number =>
  Math.max(...[file, `${file}-wal`].map((name) => statSync(name, { throwIfNoEntry: false })?.mtimeMs ?? 0));
