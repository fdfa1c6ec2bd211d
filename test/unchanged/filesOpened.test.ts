import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it, onTestFinished } from "vitest";
import { Refusal } from "../../server/bench/things/refusal.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { writeBackup } from "../../server/store/file/backingUp.ts";
import { openHeld } from "../../server/store/file/held.ts";
import { holdJournal } from "../../server/store/file/hold.ts";
import { type Journal, joinJournal, journalToRead, openJournal } from "../../server/store/file/journal.ts";
import {
  assertClosed,
  copied,
  faultsOfFile,
  freeNameAside,
  removed,
  swapIn,
} from "../../server/store/file/journalFile.ts";
import { replaceOpen } from "../../server/store/file/replacing.ts";
import { oneOf } from "./chosen.ts";
import { closedJournal, known, options, tellingOfFiles } from "./heldFiles.ts";
import { heldFolder, heldNow } from "./heldJournal.ts";

const stateOf = ({ stopped, attempts }: Journal) => [stopped()?.because, stopped()?.words, attempts.count()];

it("journals are opened, held, joined, swapped and replaced as before", async () => {
  const file = closedJournal(2);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const random = seededRandom(97);
  const copy = (name: string, change: (bytes: Buffer) => void = () => undefined): string => {
    const bytes = Buffer.from(readFileSync(file));
    change(bytes);
    writeFileSync(path.join(folder, name), bytes);
    return path.join(folder, name);
  };
  const left = () => readdirSync(folder).sort().join(" ");
  const gone = openJournal(
    copy("gone.db", (bytes) => bytes.writeInt32BE(-known, 60)),
    options,
  );
  tell("whose log is gone", () => stateOf(gone));
  tell("  written", () => gone.writeNow(() => 1));
  gone.goOn();
  tell("  gone on with", () => [stateOf(gone), gone.writeNow(() => 1)]);
  gone.close();
  tell("  mark", () => readFileSync(path.join(folder, "gone.db")).readInt32BE(60) === known);
  const main = copy("journal.db");
  const lock = holdJournal(main);
  tell("held twice", () => holdJournal(main));
  lock.announce("http://127.0.0.1:7");
  tell("held and announced", () => holdJournal(main));
  lock.release();
  writeFileSync(`${main}.lock`, "no lock at all, but long enough to be looked at");
  const again = holdJournal(main);
  again.release();
  const empty = path.join(folder, "empty.db");
  writeFileSync(empty, "");
  const first = holdJournal(empty);
  first.announce("here");
  first.release();
  tell("empty, and held before", () => holdJournal(empty));
  for (const stray of [
    ".journal.db.download-7",
    "journal.db.restoring",
    "journal.db.restoring-wal",
    ".other.db.download-7",
    "journal.db.kept",
  ])
    writeFileSync(path.join(folder, stray), "x");
  const held = openHeld(main, options);
  tell("held", () => [stateOf(held.journal), held.hold !== null, left()]);
  tell("closed by others", () => assertClosed(main));
  const { journal } = held;
  const joined = joinJournal(main, options);
  const one = journal.attempts.all()[0]!;
  const revisions = () => [
    journal.revision() - before[0]!,
    joined.revision() - before[1]!,
    journal.begun() - before[2]!,
  ];
  const before = [journal.revision(), joined.revision(), journal.begun()];
  const seen: string[] = [];
  const end = journal.watch((changes) => seen.push(changes.map(({ kind, id }) => `${kind} ${id}`).join()));
  const writes = Array.from({ length: 6 }, (_, n) =>
    journal
      .write(() => {
        journal.attempts.noteHanging(one.id, oneOf(random, ["trace", "output"]), heldNow);
        if (n % 3 === 2) throw new Refusal("conflict", `no ${n}`);
        return n;
      })
      .catch((error: Error) => error.message),
  );
  const outcomes = await Promise.all(writes);
  tell("written together", () => [outcomes, revisions(), seen.splice(0)]);
  tell("alone", () => journal.writeNow(() => journal.chips.noteHanging(one.id, "picture", heldNow)));
  tell("undone", () =>
    journal.writeNow(() => {
      throw new Refusal("conflict", "no");
    }),
  );
  tell("within", () => journal.writeNow(() => journal.writeNow(() => "in one")));
  const letGo = journal.holdWrites();
  const waited = journal.write(() => "waited");
  await new Promise((resolve) => setImmediate(resolve));
  tell("kept waiting", () => revisions());
  joined.writeNow(() => joined.attempts.noteHanging(one.id, "trace", heldNow));
  letGo();
  const came = await waited;
  tell("let go", () => [came, revisions(), journal.committedElsewhere() > 0]);
  end();
  const snapshot = journal.snapshot();
  journal.writeNow(() => journal.attempts.remove(one.id, heldNow));
  tell("a snapshot", () => [snapshot.attempts.count(), journal.attempts.count(), snapshot.stopped()]);
  snapshot.close();
  const toRead = journalToRead(main, options)!;
  tell("read", () => toRead.attempts.count());
  toRead.close();
  tell("faults", () => [journal.faults(), seen.length]);
  journal.settle();
  tell("settled", () => [readFileSync(main).readInt32BE(60) === known, readFileSync(`${main}-wal`).length]);
  writeBackup(journal.db.$client, path.join(folder, "backup.db"));
  tell("a backup", () => faultsOfFile(path.join(folder, "backup.db")));
  joined.close();
  const aside = await replaceOpen(main, file, heldNow, options).catch((error: Error) => error.message);
  journal.replaced();
  tell("replaced", () => [aside, journal.attempts.count(), faultsOfFile(aside), left()]);
  const refused = await replaceOpen(main, empty, heldNow, options).catch((error: Error) => error.message);
  tell("by nothing", () => [refused, left()]);
  tell("free aside", () => [freeNameAside(main, heldNow), freeNameAside("/x/y", heldNow)]);
  journal.close();
  held.hold?.release();
  assertClosed(main);
  copied(main, path.join(folder, "more", "copied.db"));
  tell("copied", () => faultsOfFile(path.join(folder, "more", "copied.db")));
  writeFileSync(`${main}-wal`, "x");
  swapIn(path.join(folder, "backup.db"), main, path.join(folder, "aside.db"));
  tell("swapped", () => left());
  removed(path.join(folder, "aside.db"));
  tell("removed", () => left());
  tell("a text", () => assertClosed(copy("text.db", (bytes) => bytes.fill("text"))));
  tell("faults of an empty one", () => faultsOfFile(empty));
  tell("faults of none", () => faultsOfFile(path.join(folder, "none.db")));
  tell("faults of one whose log is gone", () =>
    faultsOfFile(copy("lost.db", (bytes) => bytes.writeInt32BE(-known, 60))),
  );
  const made = openHeld(path.join(folder, "new", "deep", "journal.db"), options);
  tell("made", () => [stateOf(made.journal), readdirSync(path.join(folder, "new", "deep")).sort()]);
  made.journal.close();
  made.hold?.release();
  tell("where it cannot be made", () =>
    openHeld(path.join(folder, "new", "deep", "journal.db", "more", "x.db"), options),
  );
  mkdirSync(path.join(folder, "more", "meta"), { recursive: true });
  const entries = JSON.stringify({ entries: [{ idx: 0, when: 1, tag: "gone", breakpoints: true }] });
  writeFileSync(path.join(folder, "more", "meta", "_journal.json"), entries);
  const unmade = { ...options, migrations: path.join(folder, "more") };
  tell("where no schema can be made", () => openHeld(path.join(folder, "unmade.db"), unmade));
  tell("  nor its folder kept", () => openHeld(path.join(folder, "unmade", "deep", "journal.db"), unmade));
  tell("another's", () =>
    openHeld(
      copy("others.db", (bytes) => bytes.writeInt32BE(7, 68)),
      options,
    ),
  );
  tell("left", () => left());
  onTestFinished(() => made.journal.close());
  await expect(told()).toMatchFileSnapshot("answers/filesOpened.txt");
});
