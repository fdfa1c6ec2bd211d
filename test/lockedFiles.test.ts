import { spawnSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";
import { boardActions } from "../server/actions/parts.ts";
import { freshJournal, temporaryFolder, theInstant } from "./support/bench.ts";
import { program } from "./support/program.ts";

function asked(...words: readonly string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words], {
    encoding: "utf8",
    env: { PATH: process.env.PATH },
  });
  return { code: status, out: stdout, err: stderr };
}

/** A closed journal that knows one board, and files with the words that lock and with others. */
function lockable() {
  const folder = temporaryFolder();
  const at = (name: string) => path.join(folder, name);
  const journal = freshJournal(at("journal.db"));
  journal.writeNow(() => boardActions.add({ name: "Quay, quite private" }, { journal, now: theInstant }));
  journal.close();
  writeFileSync(at("words"), "five words drawn by chance\n");
  writeFileSync(at("others"), "five words drawn by others\n");
  return { folder, at, journal: at("journal.db"), words: at("words"), others: at("others") };
}

for (const [write, read] of [
  ["export", "import"],
  ["backup", "restore"],
] as const)
  it(`${write} locks what ${read} opens with the same words, and with no others`, {
    timeout: 120_000,
  }, () => {
    const { folder, at, journal, words, others } = lockable();
    const locked = at(`${write}.age`);
    const other = path.join(temporaryFolder(), "other.db");
    expect(asked(write, locked, "--journal", journal, "--locked-with", words)).toMatchObject({
      code: 0,
      out: expect.stringContaining(locked),
    });
    // The header of the age format, version 1, with a passphrase (C2SP, age.md): whatever knows it opens the file.
    const bytes = readFileSync(locked);
    expect(bytes.toString("latin1", 0, 200)).toMatch(
      /^age-encryption\.org\/v1\n-> scrypt [A-Za-z0-9+/]{22} 18\n[A-Za-z0-9+/]{43}\n--- [A-Za-z0-9+/]{43}\n/,
    );
    expect(bytes.includes("quite private")).toBe(false);

    expect(asked(read, locked, "--journal", other)).toMatchObject({
      code: 2,
      err: expect.stringContaining(`${locked} is locked: name the file of its words`),
    });
    expect(asked(read, locked, "--journal", other, "--locked-with", others)).toMatchObject({
      code: 2,
      err: expect.stringContaining(`These words do not open ${locked}`),
    });
    const short = at("short.age");
    writeFileSync(short, bytes.subarray(0, bytes.length - 100));
    expect(asked(read, short, "--journal", other, "--locked-with", words)).toMatchObject({
      code: 2,
      err: expect.stringContaining(`${short} is cut short or damaged`),
    });
    expect(existsSync(other)).toBe(false);

    expect(asked(read, locked, "--journal", other, "--locked-with", words).code).toBe(0);
    const open = path.join(temporaryFolder(), "open.json");
    expect(asked("export", open, "--journal", other).code).toBe(0);
    expect(readFileSync(open, "utf8")).toContain("Quay, quite private");
    // A plain file needs no words, and is not hurt by them.
    expect(asked("import", open, "--journal", journal, "--locked-with", words).code).toBe(0);
    for (const place of [folder, path.dirname(other)])
      expect(readdirSync(place).filter((name) => /open|part|unfinished/.test(name))).toEqual([]);
  });
