import { describe, expect, it } from "vitest";
import { limitQuestion } from "../../server/answers/limitOfBuild.ts";
import type { LongQuestion, Reckonings } from "../../server/answers/reckoned.ts";
import { sharpnessFor } from "../../server/answers/sharpnessOfJournal.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import type { LimitContext } from "../../server/bench/limit/limitFit.ts";
import { baseSharpness } from "../../server/bench/limit/sharpness.ts";
import { type TestServer, testServer } from "../support/bench.ts";

function lastOf<Value>(turns: Generator<undefined, Value>): Value {
  for (;;) {
    const { done, value } = turns.next();
    if (done) return value;
  }
}

/** Reckons at once, in this thread, and keeps nothing. */
const atOnce = (): Reckonings => ({
  now: async <Answer>(kind: string, _: string, request: () => unknown) =>
    fitAnswerOf(kind as FitKind, request() as FitQuestions[FitKind]) as Answer,
  latest: () => null,
  inTurn: <Answer, Request>(kind: string, _: string, { read, request, packed }: LongQuestion<Request>) => {
    for (const turns = read(); !turns.next().done; );
    const asked = lastOf(packed(request())) as FitQuestions[FitKind];
    return { answer: fitAnswerOf(kind as FitKind, asked) as Answer, fresh: true };
  },
  hasFailed: () => false,
});

async function journalOf(kinds: readonly ("cpu" | "gpu")[]) {
  const server = await testServer();
  const board = await server.send("POST", "/api/boards", { name: "Slate" });
  const load = await server.send("POST", "/api/workloads", { name: "all of it", kind: "all-core" });
  const builds: string[] = [];
  for (const [i, kind] of kinds.entries()) {
    const chip = await server.send("POST", "/api/chips", {
      ...{ name: `Wren ${i}`, kind, tempLimitC: 95, stockClockMhz: 4000, stockVoltageMv: 1200 },
    });
    const build = await server.send("POST", "/api/builds", {
      ...{ name: `Frame ${i}`, chipId: chip.body.id, boardId: board.body.id },
    });
    builds.push(build.body.id);
  }
  return { server, builds, load: load.body.id as string };
}

/** A limit that is passed sharply: an hour holds one step under what fails at once. */
async function sharpRecord({ send }: TestServer, buildId: string, workloadId: string) {
  for (const [clockMhz, outcome, durationS] of [
    [4300, "pass", 3600],
    [4325, "pass", 3600],
    [4350, "freeze", 40],
    [4350, "freeze", 20],
    [4375, "freeze", 5],
  ] as const)
    await send("POST", `/api/builds/${buildId}/attempts`, {
      ...{ workloadId, clockMhz, voltageMv: 1200, outcome, durationS, ambientC: 22, loadTempC: 65 },
    });
}

const told = ({ journal }: TestServer, buildId: string, reckonings = atOnce()) => {
  const build = journal.builds.find(buildId)!;
  return sharpnessFor(journal, reckonings, journal.chips.find(build.chipId)!, buildId);
};

describe("sharpnessFor", () => {
  it("is left out of the answer where that is asked, which then is not told as the aim's", async () => {
    const { server, builds, load } = await journalOf(["cpu", "cpu", "cpu"]);
    for (const build of builds) await sharpRecord(server, build, load);
    const best = async (query = "") =>
      (await server.send("GET", `/api/builds/${builds[2]}/best${query}`)).body;
    // What was learnt counts from the next commit on.
    let commits = 0;
    const afterCommit = async () => {
      await server.send("PATCH", `/api/builds/${builds[2]}`, { note: `${commits++}` });
      return (await best()).sharpness.chips;
    };
    await expect.poll(afterCommit, { timeout: 60_000 }).toBe(2);
    const without = await best("?learnt=no");
    expect(without).toMatchObject({ isAim: false, sharpness: { name: baseSharpness.name, chips: 0 } });
    expect(without.because.at(-1)).toContain("This is not the aim of the build");
  }, 120_000);

  it("is the base where no other chip of the kind has shown anything, its own record left out", async () => {
    const { server, builds, load } = await journalOf(["cpu", "gpu"]);
    await sharpRecord(server, builds[0]!, load);
    expect(told(server, builds[0]!)).toBe(baseSharpness);
    expect(told(server, builds[1]!)).toBe(baseSharpness);
  });

  it("learns from the other chips of the kind, is named after them, and goes along in the question unless switched off", async () => {
    const { server, builds, load } = await journalOf(["cpu", "cpu", "cpu"]);
    await sharpRecord(server, builds[0]!, load);
    await sharpRecord(server, builds[1]!, load);
    const learnt = told(server, builds[2]!);
    expect(learnt).toMatchObject({ chips: 2, name: "what 2 other chips of this kind showed" });
    expect(learnt.mean).toBeLessThan(baseSharpness.mean);
    expect(learnt.scale).toBeLessThanOrEqual(baseSharpness.scale);
    const asked = (more: object): LimitContext =>
      limitQuestion(server.journal, { buildId: builds[2]!, ...more }).request(atOnce()) as LimitContext;
    expect(asked({}).sharpness).toEqual(learnt);
    expect(asked({ learnt: false }).sharpness).toBe(baseSharpness);
  });

  it("does not change while an attempt runs", async () => {
    const { server, builds, load } = await journalOf(["cpu", "cpu", "cpu"]);
    const [first, second, asked] = builds as [string, string, string];
    await sharpRecord(server, first, load);
    const reckonings = atOnce();
    const before = told(server, asked, reckonings);
    const running = await server.send("POST", `/api/builds/${asked}/attempts`, {
      ...{ workloadId: load, clockMhz: 4200, voltageMv: 1200, outcome: "running", plannedS: 600 },
    });
    await sharpRecord(server, second, load);
    expect(told(server, asked, reckonings)).toEqual(before);
    await server.send("PATCH", `/api/attempts/${running.body.id}`, { outcome: "pass", durationS: 600 });
    expect(told(server, asked, reckonings)).toMatchObject({ chips: 2 });
  });
});
