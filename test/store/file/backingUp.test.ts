import { existsSync, mkdirSync, readdirSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { exportFile } from "../../../server/actions/exportFile.ts";
import { placeWhole, placeWholeLater } from "../../../server/store/file/backingUp.ts";
import { backUpInto } from "../../../server/store/file/backupFolder.ts";
import { faultsOfFile, swapIn } from "../../../server/store/file/journalFile.ts";
import {
  freshJournal,
  migrations,
  smallWorld,
  temporaryFolder,
  testServer,
  theInstant,
} from "../../support/bench.ts";
import { spoiledFile } from "../../support/spoiledFile.ts";

const options = { migrations, randomBytes: (count: number) => new Uint8Array(count).fill(7) };

/** What the disk was asked to do, in turn, by the last part of each name. */
const disk = vi.hoisted(() => ({ did: [] as string[], knowsSecondNames: true }));

vi.mock("node:fs", async (original) => {
  const fs = await original<typeof import("node:fs")>();
  const names = new Map<number, string>();
  const last = (file: unknown) => String(file).split("/").at(-1) ?? "";
  return {
    ...fs,
    openSync: (...words: Parameters<typeof fs.openSync>) => {
      const handle = fs.openSync(...words);
      names.set(handle, last(words[0]));
      return handle;
    },
    fsyncSync: (handle: number) => {
      disk.did.push(`sync ${names.get(handle)}`);
      fs.fsyncSync(handle);
    },
    renameSync: (from: string, to: string) => {
      disk.did.push(`put in place ${last(to)}`);
      fs.renameSync(from, to);
    },
    linkSync: (from: string, to: string) => {
      if (!disk.knowsSecondNames) throw Object.assign(new Error("no second names"), { code: "EPERM" });
      disk.did.push(`name ${last(to)}`);
      fs.linkSync(from, to);
    },
    copyFileSync: (from: string, to: string, mode?: number) => {
      disk.did.push(`copy ${last(to)}`);
      fs.copyFileSync(from, to, mode);
    },
  };
});

beforeEach(() => {
  disk.did = [];
  disk.knowsSecondNames = true;
});

const inAFolder = () => path.join(temporaryFolder(), "held", "copy.db");
const made = (file: string) => {
  mkdirSync(path.dirname(file));
  return path.basename(path.dirname(file));
};

describe.each([
  ["placeWhole", async (file: string, write: (making: string) => void) => placeWhole(file, write)],
  [
    "placeWholeLater",
    (file: string, write: (making: string) => void) =>
      placeWholeLater(file, async (making) => {
        await pause(1);
        write(making);
      }),
  ],
])("%s(file, write)", (_, place) => {
  it("syncs what was written, then names it, then syncs the folder; while it is written the name is free", async () => {
    const file = inAFolder();
    const folder = made(file);
    await place(file, (making) => {
      writeFileSync(making, "half ");
      expect([existsSync(file), making]).toEqual([false, `${file}.unfinished`]);
      writeFileSync(making, "all of it");
    });
    expect(disk.did).toEqual(["sync copy.db.unfinished", "name copy.db", `sync ${folder}`]);
    expect(readdirSync(path.dirname(file))).toEqual(["copy.db"]);
    expect(readFileSync(file, "utf8")).toBe("all of it");
  });

  it("syncs the copy too where no second names are known", async () => {
    const file = inAFolder();
    const folder = made(file);
    disk.knowsSecondNames = false;
    await place(file, (making) => writeFileSync(making, "all of it"));
    const steps = ["sync copy.db.unfinished", "copy copy.db", "sync copy.db", `sync ${folder}`];
    expect(disk.did).toEqual(steps);
    expect(readdirSync(path.dirname(file))).toEqual(["copy.db"]);
  });

  it.each([
    ["ENOSPC", /^The disk is full, so .*copy\.db could not be written; nothing was left behind/],
    ["EDQUOT", /^The disk is full, so .*copy\.db could not be written; nothing was left behind/],
    ["EMFILE", /copy\.db could not be opened: this program has too many files open\. Raise the limit/],
    ["ENFILE", /copy\.db could not be opened: the machine has too many files open\. Close other programs/],
    ["EROFS", /copy\.db lies where nothing can be written; choose another place/],
  ])("leaves nothing behind and says what to do at %s", async (code, words) => {
    const file = inAFolder();
    made(file);
    const write = (making: string) => {
      writeFileSync(making, "half");
      throw Object.assign(new Error("the system's own words"), { code });
    };
    await expect(place(file, write)).rejects.toThrow(words);
    expect(readdirSync(path.dirname(file))).toEqual([]);
  });

  it("never takes a name that is there, or that comes meanwhile", async () => {
    const file = inAFolder();
    made(file);
    const meanwhile = (making: string) => {
      writeFileSync(making, "ours");
      writeFileSync(file, "theirs");
    };
    await expect(place(file, meanwhile)).rejects.toThrow("copy.db is there already");
    await expect(place(file, (making) => writeFileSync(making, "ours"))).rejects.toThrow("is there already");
    expect(readdirSync(path.dirname(file))).toEqual(["copy.db"]);
    expect(readFileSync(file, "utf8")).toBe("theirs");
  });
});

describe("backUpInto(folder, journal, now)", () => {
  it("is whole and synced, and clears away what killed ones of this journal left", () => {
    const journal = freshJournal();
    const folder = path.join(temporaryFolder(), "backups");
    mkdirSync(folder);
    for (const name of [
      "journal-20310503-134200.db.unfinished",
      "journal-20310503-134200.db.unfinished-journal",
    ])
      writeFileSync(path.join(folder, name), "half");
    writeFileSync(path.join(folder, "other-20310503-134200.db.unfinished"), "another journal's");
    const { name, bytes } = backUpInto(folder, journal.file, theInstant);
    expect(readdirSync(folder).sort()).toEqual([
      "journal-20310504-134200.db",
      "other-20310503-134200.db.unfinished",
    ]);
    expect(disk.did).toEqual([`sync ${name}.unfinished`, `name ${name}`, "sync backups"]);
    expect(faultsOfFile(path.join(folder, name))).toEqual([]);
    expect(bytes).toBeGreaterThan(4096);
  });

  it("lets go of what the rule keeps no more, by days and by the space that all take together", () => {
    const journal = freshJournal();
    const folder = temporaryFolder();
    const old = (day: string, bytes: number) => {
      const name = `journal-${day}-120000.db`;
      writeFileSync(path.join(folder, name), "");
      truncateSync(path.join(folder, name), Math.round(bytes));
      return name;
    };
    const gib = 2 ** 30;
    const kept = old("20310503", 1.2 * gib);
    old("20310502", 1.2 * gib); // beyond two GiB together
    old("20290502", 10); // older than any month that is kept
    const theirs = old("20310501", 10).replace("journal-", "journals-");
    writeFileSync(path.join(folder, theirs), "");
    const { name } = backUpInto(folder, journal.file, theInstant);
    expect(readdirSync(folder).sort()).toEqual([kept, name, theirs].sort());
  });
});

describe("exportFile(journal, to, now)", () => {
  it.each([
    ["a whole journal", (file: string) => file],
    ["what can be read of a damaged one", (file: string) => spoiledFile(file, "boards", [0])],
  ])("names %s only once it is on the disk", async (_, spoilt) => {
    const server = await testServer();
    await smallWorld(server);
    server.journal.close();
    const to = path.join(temporaryFolder(), "out.json");
    disk.did = [];
    exportFile(spoilt(server.journal.file), to, theInstant, options);
    const folder = path.basename(path.dirname(to));
    expect(disk.did.slice(-3)).toEqual(["sync out.json.unfinished", "name out.json", `sync ${folder}`]);
    expect(JSON.parse(readFileSync(to, "utf8")).chips).toHaveLength(1);
  });
});

describe("swapIn(prepared, journal, aside)", () => {
  it("syncs what takes the place before it does, and the folder after; the one that was there has its second name first", () => {
    const folder = temporaryFolder();
    const [prepared, journal, aside] = ["prepared", "journal", "aside"].map((name) =>
      path.join(folder, name),
    );
    writeFileSync(prepared as string, "new");
    writeFileSync(journal as string, "old");
    swapIn(prepared as string, journal as string, aside as string);
    const steps = ["sync prepared", "name aside", "put in place journal", `sync ${path.basename(folder)}`];
    expect(disk.did).toEqual(steps);
    expect(readFileSync(aside as string, "utf8")).toBe("old");
  });
});
