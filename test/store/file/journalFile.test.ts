import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { expect, it } from "vitest";
import { freeNameAside } from "../../../server/store/file/journalFile.ts";

it("names a journal that gives way to a backup by day and minute, and never as one that is there", () => {
  const folder = mkdtempSync(path.join(tmpdir(), "rungbook-aside-"));
  const names = Array.from({ length: 3 }, () => {
    const name = freeNameAside(path.join(folder, "bench.db"), "2031-03-01T10:07:59.123Z");
    writeFileSync(name, "");
    return path.basename(name);
  });
  expect(names).toEqual([
    "bench.before-restore-20310301T1007.db",
    "bench.before-restore-20310301T1007-1.db",
    "bench.before-restore-20310301T1007-2.db",
  ]);
});
