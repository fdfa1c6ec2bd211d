import { mkdirSync, readdirSync, utimesSync, writeFileSync } from "node:fs";
import path from "node:path";
import Database from "better-sqlite3";
import { expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { placeWhole, unfinished } from "../../server/store/file/backingUp.ts";
import {
  backUpInto,
  backupFolderOf,
  backupName,
  backupsIn,
  freeNameBefore,
} from "../../server/store/file/backupFolder.ts";
import { faultsOfFile } from "../../server/store/file/journalFile.ts";
import { closedJournal, tellingOfFiles } from "./heldFiles.ts";
import { heldFolder, heldNow } from "./heldJournal.ts";

it("backups are named, found, made and let go of as before, whatever else lies there", async () => {
  const file = closedJournal(2);
  const folder = heldFolder();
  const { tell, told } = tellingOfFiles();
  const random = seededRandom(96);
  tell("named", () => [
    backupName(file, heldNow),
    path.basename(backupFolderOf(file)),
    backupName("/x/my.journal", "2031-12-31T23:59:59.999Z"),
  ]);
  const strays = [
    ...[
      "journal-20310101-000000.db",
      "journal-20311301-000000.db",
      "journal-2031010-000000.db",
      "journal-20310101-000000.db.unfinished",
    ],
    ...[
      "other-20310101-000000.db",
      "journal-before-update-from-12.db",
      "journal-before-update-from-12-3.db",
      "journal-before-update-from-.db",
    ],
    ...[
      "journal-20310230-120000.db",
      "journal-20310401-256161.db",
      "journal-notes.txt",
      "xjournal-20310101-000000.db",
      "journal-20310101-000000.dbx",
      "journal-.db",
    ],
  ];
  for (const stray of strays) {
    writeFileSync(path.join(folder, stray), "x".repeat(1 + random.index(9)));
    utimesSync(path.join(folder, stray), 1_900_000_000, 1_900_000_000 + random.index(9999));
  }
  mkdirSync(path.join(folder, "journal-20310505-000000.db"));
  const listed = () =>
    backupsIn(folder, file).map(
      ({ name, at, bytes, why }) => `${name} ${at} ${bytes > 99 ? "whole" : bytes} ${why}`,
    );
  for (const line of listed()) tell("found", () => line);
  tell("in no folder", () => backupsIn(path.join(folder, "none"), file));
  for (const schemas of [11, 12]) {
    for (const more of ["", "-1", "-2"]) {
      tell(`free before ${schemas}`, () => freeNameBefore(file, folder, schemas));
      writeFileSync(path.join(folder, `journal-before-update-from-${schemas}${more}.db`), "x");
    }
  }
  const days = [0, 0.0001, 1, 2, 3, 8, 9, 36, 37, 70, 400];
  for (const day of days) {
    const now = new Date(Date.parse(heldNow) + day * 86_400_000).toISOString();
    writeFileSync(path.join(folder, `journal-20310101-000001.db${unfinished}`), "x");
    tell(`made on day ${day}`, () => {
      const { bytes, ...made } = backUpInto(folder, file, now);
      return [
        JSON.stringify(made),
        bytes > 99,
        readdirSync(folder).filter((name) => name.includes(unfinished)),
        backupsIn(folder, file)
          .filter(({ why }) => why === "day")
          .map(({ at }) => at.slice(0, 10))
          .join(" "),
      ];
    });
  }
  tell("once more at that time", () =>
    backUpInto(folder, file, new Date(Date.parse(heldNow) + 400 * 86_400_000).toISOString()),
  );
  tell("sound", () => faultsOfFile(path.join(folder, backupsIn(folder, file)[0]!.name)));
  const client = new Database(file);
  client.exec("UPDATE boards SET name = 'Quay X'");
  client.close();
  tell("of a journal that is not", () => backUpInto(folder, file, "2033-01-01T00:00:00.000Z"));
  tell("none is let go of for it", () => [
    listed().length,
    readdirSync(folder).filter((name) => name.startsWith("journal-2033")),
  ]);
  tell("placed whole", () =>
    placeWhole(path.join(folder, "whole.txt"), (making) => writeFileSync(making, "whole")),
  );
  tell("again", () => placeWhole(path.join(folder, "whole.txt"), (making) => writeFileSync(making, "other")));
  tell("not placed", () =>
    placeWhole(path.join(folder, "half.txt"), (making) => {
      writeFileSync(making, "half");
      throw Object.assign(new Error(), { code: "ENOSPC" });
    }),
  );
  tell("left", () => readdirSync(folder).filter((name) => /whole|half/.test(name)));
  await expect(told()).toMatchFileSnapshot("answers/filesBackups.txt");
});
