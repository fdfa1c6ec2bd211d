import { chmodSync, chownSync, mkdirSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, it } from "vitest";
import { beginSpool, openSpool, type RunRecord, spoolNames } from "../../server/attend/runRecord.ts";
import { spoolDisk } from "../../server/attend/spoolDisk.ts";
import { recordsIn, spoolLine } from "../../server/attend/spoolLine.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { temporaryFolder } from "../support/bench.ts";

const attemptId = "019a0000-0000-7000-8000-000000000001";
const begun: Extract<RunRecord, { kind: "begun" }> = {
  kind: "begun",
  attemptId,
  buildId: "b",
  server: "http://journal",
  bootId: "boot-1",
  startedAt: "2031-05-04T13:42:00.000Z",
  setting: { clockMhz: 4600, voltageMv: 1200 },
};
const second = (seq: number): RunRecord => ({
  kind: "second",
  seq,
  t: seq,
  beat: { tempC: 60 },
  row: { temperatureC: 60 },
});
const quietly = (): void => undefined;

describe("the spool", () => {
  it("gives every whole record back, and leaves out what is torn or spoilt, wherever it is cut", () => {
    const random = seededRandom(7);
    const records = Array.from({ length: 20 }, (_, seq) => ({ seq, words: "é\n°C ".repeat(seq) }));
    const lines = records.map(spoolLine);
    const text = lines.join("");
    expect(recordsIn(text)).toEqual(records);
    for (let trial = 0; trial < 300; trial++) {
      const cut = random.index(text.length + 1);
      const whole = lines.filter((_, i) => lines.slice(0, i + 1).join("").length <= cut).length;
      // A line that lacks only its newline is whole.
      const found = recordsIn(text.slice(0, cut));
      expect(found).toEqual(records.slice(0, found.length));
      expect(found.length - whole).toBeLessThanOrEqual(1);
      const at = random.index(text.length);
      const spoilt = text.slice(0, at) + (text[at] === "x" ? "y" : "x") + text.slice(at + 1);
      expect(recordsIn(spoilt).length).toBeGreaterThanOrEqual(records.length - 2);
      for (const record of recordsIn(spoilt)) expect(records).toContainEqual(record);
    }
  });

  it("goes on behind a torn last record, and remembers what was delivered", () => {
    const folder = temporaryFolder();
    const disk = spoolDisk(folder, null, quietly);
    const first = beginSpool(disk, begun);
    for (let seq = 1; seq <= 5; seq++) first.add(second(seq));
    first.noteDelivered(3);
    expect(first.syncNow()).toBe(true);
    const [name = ""] = spoolNames(disk);
    disk.append(name, spoolLine(second(6)).slice(0, 40));
    const again = openSpool(spoolDisk(folder, null, quietly), name);
    expect([again?.lastS(), again?.delivered(), again?.end()]).toEqual([5, 3, null]);
    again?.add({ kind: "end", outcome: "stopped", durationS: 5, endedAt: begun.startedAt, fields: {} });
    expect(openSpool(disk, name)?.end()).toMatchObject({ outcome: "stopped" });
    again?.close();
    expect(spoolNames(disk)).toEqual([]);
  });

  it("of which not even the beginning is whole is none", () => {
    const disk = spoolDisk(temporaryFolder(), null, quietly);
    disk.append("x.run", spoolLine(begun).slice(0, 30));
    expect(openSpool(disk, "x.run")).toBeNull();
  });

  it("is for its user alone", () => {
    const folder = temporaryFolder();
    spoolDisk(path.join(folder, "own"), process.getuid?.() ?? 0, quietly);
    expect(statSync(path.join(folder, "own")).mode & 0o777).toBe(0o700);
    chmodSync(path.join(folder, "own"), 0o777);
    expect(() => spoolDisk(path.join(folder, "own"), process.getuid?.() ?? 0, quietly)).toThrow("by others");
  });

  it.runIf(process.getuid?.() === 0)(
    "of another user is refused, folder and file, also behind a link",
    () => {
      const folder = temporaryFolder();
      mkdirSync(path.join(folder, "theirs"), { mode: 0o700 });
      chownSync(path.join(folder, "theirs"), 1234, 1234);
      expect(() => spoolDisk(path.join(folder, "theirs"), 0, quietly)).toThrow("another user");
      const disk = spoolDisk(path.join(folder, "own"), 0, quietly);
      const file = path.join(folder, "theirs", "x.run");
      writeFileSync(file, spoolLine(begun), { mode: 0o600 });
      chownSync(file, 1234, 1234);
      symlinkSync(file, path.join(folder, "own", "x.run"));
      expect(() => openSpool(disk, "x.run")).toThrow("another user");
    },
  );
});
