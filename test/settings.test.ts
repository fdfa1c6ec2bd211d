import { writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { settingsFrom } from "../server/settings.ts";
import { temporaryFolder } from "./support/bench.ts";

describe("settingsFrom(args, environment)", () => {
  it("serves this machine alone at port 4780 unless told otherwise", () => {
    expect(settingsFrom([], { XDG_DATA_HOME: "/records" })).toMatchObject({
      command: "serve",
      host: "127.0.0.1",
      port: 4780,
      demo: false,
      passphrase: null,
      knownAs: [],
    });
  });

  it("lets a flag win over the environment", () => {
    const environment = {
      RUNGBOOK_PORT: "5000",
      RUNGBOOK_JOURNAL: "/records/a.db",
      RUNGBOOK_HOST: "localhost",
    };
    expect(settingsFrom([], environment)).toMatchObject({
      port: 5000,
      journal: "/records/a.db",
      host: "localhost",
    });
    expect(settingsFrom(["--port", "0", "--journal", "/records/b.db"], environment)).toMatchObject({
      port: 0,
      journal: "/records/b.db",
    });
  });

  it("keeps backups where it is told, else leaves that to the journal", () => {
    const named = (args: string[], environment = {}) => settingsFrom(args, environment).backups;
    expect(named([])).toBeNull();
    expect(named([], { RUNGBOOK_BACKUPS: "/disk/a" })).toBe("/disk/a");
    expect(named(["--backups", "/disk/b"], { RUNGBOOK_BACKUPS: "/disk/a" })).toBe("/disk/b");
  });

  it("asks for a passphrase before it lets other machines in", () => {
    expect(() => settingsFrom(["--host", "0.0.0.0"], {})).toThrow(/passphrase/);
    const file = path.join(temporaryFolder(), "words");
    writeFileSync(file, "four plain words here\n");
    expect(settingsFrom(["--host", "0.0.0.0", "--passphrase-file", file], {}).passphrase).toBe(
      "four plain words here",
    );
  });

  it.each([
    [["--port", "70000"], /0 to 65535/],
    [["--port", "x"], /0 to 65535/],
    [["--port", "0x1f40"], /0 to 65535/],
    [["--port", "8e3"], /0 to 65535/],
    [["--port", " "], /0 to 65535/],
    [["dance"], /not a command/],
    [["backup"], /needs the name of a file/],
    [["check", "file"], /too many/],
    [["backup", "a", "b"], /too many/],
    [["--loud"], /--loud/],
  ])("refuses %j with a sentence", (args, words) => {
    expect(() => settingsFrom(args, {})).toThrow(words);
  });
});
