import { describe, expect, it } from "vitest";
import {
  type ImportOrder,
  importAttempts,
  importPreview,
  refuseAny,
} from "../../server/actions/importAttempts.ts";
import type { RefusedLine } from "../../server/csv/attemptCsv.ts";
import { attemptFileOf } from "../../server/csv/attemptFile.ts";
import { type AttemptMapping, mappingProposed } from "../../server/csv/attemptMapping.ts";
import { smallWorld, testServer, theInstant } from "../support/bench.ts";

const header = "build,workload,clock MHz,voltage V,outcome,duration min\n";

/** A bench of two builds, and what an import of some lines would do there and does. */
async function bench() {
  const server = await testServer();
  const world = await smallWorld(server);
  const { journal } = server;
  const at = { journal, now: theInstant };
  const order = (
    lines: string,
    over: Partial<AttemptMapping> = {},
    aboveCeiling = false,
    heads = header,
  ): ImportOrder => {
    const file = attemptFileOf(heads + lines);
    return {
      file,
      mapping: { ...mappingProposed(file, "UTC"), ...over },
      buildId: world.cupboard,
      aboveCeiling,
    };
  };
  const shown = (...asked: Parameters<typeof order>) => importPreview(order(...asked), at);
  const taken = (...asked: Parameters<typeof order>) => {
    const refused: RefusedLine[] = [];
    const result = journal.writeNow(() => importAttempts(order(...asked), at, (line) => refused.push(line)));
    return { ...result, because: refused.map(({ line, because }) => `${line}: ${because}`) };
  };
  const counts = ({
    coming,
    refused,
    waiting,
    already,
    ofSeveral,
    aboveCeiling,
  }: ReturnType<typeof shown>) => ({
    ...{ coming: coming.count, refused: refused.count, waiting: waiting.count },
    ...{ already, ofSeveral, aboveCeiling },
  });
  return { ...world, journal, shown, taken, counts };
}

const none = { coming: 0, refused: 0, waiting: 0, already: 0, ofSeveral: false, aboveCeiling: 0 };
const good = ",Stacking,4600,1.2,pass,15\n";

describe("an import of attempts", () => {
  it("shows what it would do and does that, and nothing a second time", async () => {
    const { shown, taken, counts, journal, cupboard, frame } = await bench();
    const lines = `${good}Open frame,Browsing,4650,1.225,freeze,2\n`;
    expect(counts(shown(lines))).toEqual({ ...none, coming: 2, ofSeveral: true });
    expect(shown(lines).coming.first.map(({ buildId, draft }) => ({ buildId, ...draft }))).toMatchObject([
      { buildId: cupboard, outcome: "pass", clockMhz: 4600, voltageMv: 1200, durationS: 900 },
      { buildId: frame, outcome: "freeze", clockMhz: 4650, voltageMv: 1225, durationS: 120 },
    ]);
    expect([journal.attempts.countOf(cupboard), journal.attempts.countOf(frame)]).toEqual([0, 0]);
    expect(taken(lines)).toEqual({ added: 2, already: 0, refused: 0, because: [] });
    expect([journal.attempts.countOf(cupboard), journal.attempts.countOf(frame)]).toEqual([1, 1]);
    expect(counts(shown(lines))).toEqual({ ...none, already: 2 });
    expect(taken(lines)).toEqual({ added: 0, already: 2, refused: 0, because: [] });
  });

  it("takes the same line twice for two attempts, and the rest of a longer file for new", async () => {
    const { shown, taken, counts } = await bench();
    expect(counts(shown(good + good))).toEqual({ ...none, coming: 2 });
    expect(taken(good + good)).toMatchObject({ added: 2 });
    expect(counts(shown(good + good + good))).toEqual({ ...none, coming: 1, already: 2 });
  });

  it("refuses what cannot be, waits for a word, and tells the two apart", async () => {
    const { shown, taken, counts } = await bench();
    const lines = `${good},Stacking,fast,1.2,pass,15\n,Rendering,4600,1.2,pass,15\n,,4600,1.2,pass,15\n`;
    const preview = shown(lines);
    expect(counts(preview)).toEqual({ ...none, coming: 1, refused: 1, waiting: 2 });
    expect(preview.refused.first).toMatchObject([
      { line: 3, cells: ["", "Stacking", "fast", "1.2", "pass", "15"] },
    ]);
    expect(preview.waiting.first.map(({ line }) => line)).toEqual([4, 5]);
    expect(taken(lines)).toMatchObject({ added: 1, refused: 3 });
  });

  it("refuses what the chip cannot be set to, which no word settles", async () => {
    const { shown, counts } = await bench();
    const withOffset = header.replace("outcome", "offset,outcome");
    const preview = shown(",Stacking,4600,1.2,30,pass,15\n", {}, false, withOffset);
    expect(counts(preview)).toEqual({ ...none, refused: 1 });
    expect(preview.refused.first[0]!.because).toMatch(/offset/i);
  });

  it("asks whether a voltage above the ceiling is meant, and takes it where it is", async () => {
    const { shown, taken, counts } = await bench();
    const high = ",Stacking,4900,1.4,freeze,1\n";
    const preview = shown(good + high);
    expect(counts(preview)).toEqual({ ...none, coming: 1, refused: 1, aboveCeiling: 1 });
    expect(preview.refused.first[0]!.because).toMatch(/1\.35.*; confirm that it is meant\.$/);
    expect(taken(high)).toMatchObject({ added: 0, refused: 1 });
    expect(counts(shown(good + high, {}, true))).toEqual({ ...none, coming: 2 });
    expect(taken(high, {}, true)).toMatchObject({ added: 1, refused: 0 });
  });

  it("makes a load that is new once, and only where it is taken in", async () => {
    const { shown, taken, journal } = await bench();
    const lines = ",Rendering,4600,1.2,pass,15\n, rendering ,4625,1.2,pass,15\n";
    const settled = { workloads: { rendering: "new:all-core" } };
    expect(shown(lines, settled).newWorkloads).toMatchObject([{ name: "Rendering" }]);
    expect(journal.workloads.count()).toBe(3);
    expect(taken(lines, settled)).toMatchObject({ added: 2, refused: 0 });
    expect(journal.workloads.all().map(({ name, kind }) => `${name}, ${kind}`)).toContain(
      "Rendering, all-core",
    );
    expect(journal.workloads.count()).toBe(4);
  });

  it("refuses a load that is not in the journal, and a build", async () => {
    const { shown, heavy, cupboard } = await bench();
    expect(shown(",,4600,1.2,pass,15\n", { workloadId: heavy }).coming.count).toBe(1);
    expect(() => shown(good, { workloadId: cupboard })).toThrow("There is no such load.");
    expect(() => shown(good, { workloads: { x: cupboard } })).toThrow("not in the journal any more");
    expect(() => shown(good, { workloads: { x: "new:mixed" } })).not.toThrow();
  });

  it("brings back what was deleted", async () => {
    const { shown, taken, journal, counts } = await bench();
    taken(good);
    const { id } = journal.attempts.newest()!;
    journal.writeNow(() => journal.attempts.remove(id, theInstant));
    expect(counts(shown(good))).toEqual({ ...none, coming: 1 });
    expect(taken(good)).toMatchObject({ added: 1 });
    expect(journal.attempts.find(id)).toMatchObject({ clockMhz: 4600 });
  });
});

describe("refuseAny(refused)", () => {
  const line = (n: number): RefusedLine => ({ line: n, because: `because ${n}`, waits: false });

  it("names the first lines refused, and throws nothing for none", () => {
    expect(() => refuseAny([])).not.toThrow();
    expect(() => refuseAny([line(2)])).toThrow("One line cannot be taken, so nothing was. Line 2: because 2");
    const many = Array.from({ length: 25 }, (_, n) => line(n + 2));
    const refusal = (): { message: string; fields: object } => {
      try {
        refuseAny(many);
      } catch (error) {
        return error as { message: string; fields: object };
      }
      throw new Error("It was not refused.");
    };
    expect(refusal().message).toMatch(/^25 lines cannot be taken/);
    expect(Object.keys(refusal().fields)).toHaveLength(20);
  });
});
