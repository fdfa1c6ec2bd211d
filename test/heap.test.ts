import path from "node:path";
import { describe, expect, it } from "vitest";
import { openJournal } from "../server/store/file/journal.ts";
import { freshJournal, migrations, temporaryFolder } from "./support/bench.ts";
import { fillInBulk } from "./support/bulkRecord.ts";
import { started } from "./support/program.ts";

/** All 20,000 with `npm run abuse`; they take minutes on a busy machine. */
const isLong = process.env.MODE === "long";
const attempts = isLong ? 20_000 : 4000;
const nodeFlags = ["--max-old-space-size=64"];

/** The program with a heap of 64 MB on a journal, and what it holds once it has ended. */
async function withProgram(journal: string, work: (address: string) => Promise<void>): Promise<void> {
  const { child, ended, address } = started(["--journal", journal, "--port", "0"], { nodeFlags });
  await work(await address);
  child.kill("SIGTERM");
  const { code, err } = await ended;
  expect([code, withoutFits(err)]).toEqual([0, ""]);
}

/** A fit that its thread has no room for is said, and costs nobody anything else. */
const withoutFits = (err: string): string =>
  err
    .replace(/Error \[ERR_WORKER_OUT_OF_MEMORY\].*\n( {4}at .*\n)*/g, "")
    .replace(/^[ {}\n]*code: .*$/gm, "");

function countIn(file: string): number {
  const journal = openJournal(file, { migrations, randomBytes: (count) => new Uint8Array(count) });
  try {
    return journal.attempts.count();
  } finally {
    journal.close();
  }
}

async function sent(address: string, url: string, type: string, body: string): Promise<unknown> {
  const reply = await fetch(address + url, { method: "POST", headers: { "content-type": type }, body });
  expect([url, reply.status]).toEqual([url, expect.toBeOneOf([200, 201])]);
  return reply.json();
}

/** A journal with so many attempts, and the ids of its builds. */
function filled(builds: number, attempts: number): { file: string; ids: string[] } {
  const journal = freshJournal();
  fillInBulk(journal, { builds, attempts, seed: 3, until: "2024-05-04T12:00:00.000Z" });
  const ids = journal.builds.all().map(({ id }) => id);
  journal.close();
  return { file: journal.file, ids };
}

/** The whole journal as JSON, and the attempts of its builds as one CSV file. */
async function exported({ file, ids }: ReturnType<typeof filled>): Promise<{ json: string; csv: string }> {
  let [json, csv] = ["", ""];
  await withProgram(file, async (address) => {
    json = await (await fetch(`${address}/api/export`)).text();
    for (const id of ids) {
      const text = await (await fetch(`${address}/api/builds/${id}/attempts.csv`)).text();
      csv += csv === "" ? text : text.slice(text.indexOf("\r\n") + 2);
    }
  });
  return { json, csv };
}

describe("a heap of 64 MB", () => {
  it.each([
    [attempts, "twenty builds", 20],
    ...(isLong ? [[attempts, "one build", 1] as const] : []),
  ] as const)(
    "exports and imports %i attempts of %s, as JSON and as CSV",
    async (_count, _of, builds) => {
      const full = filled(builds, attempts);
      const { json, csv } = await exported(full);
      expect(JSON.parse(json).attempts).toHaveLength(attempts);
      expect(csv.split("\r\n")).toHaveLength(attempts + 2);

      const merged = path.join(temporaryFolder(), "journal.db");
      await withProgram(merged, async (address) => {
        expect(await sent(address, "/api/import", "application/json", json)).toMatchObject({ conflicts: [] });
      });
      expect(countIn(merged)).toBe(attempts);

      const read = path.join(temporaryFolder(), "journal.db");
      const without = JSON.stringify({ ...JSON.parse(json), attempts: [] });
      await withProgram(read, async (address) => {
        await sent(address, "/api/import", "application/json", without);
        const url = `/api/builds/${full.ids[0]}/attempts.csv`;
        expect(await sent(address, url, "text/csv", csv)).toEqual({
          added: attempts,
          already: 0,
          refused: 0,
        });
      });
      expect(countIn(read)).toBe(attempts);
    },
    300_000,
  );

  it("exports 20,000 attempts of one build", async () => {
    const { json, csv } = await exported(filled(1, 20_000));
    expect([JSON.parse(json).attempts.length, csv.split("\r\n").length]).toEqual([20_000, 20_002]);
  }, 300_000);
});
