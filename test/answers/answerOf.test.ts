import path from "node:path";
import { describe, expect, it } from "vitest";
import { setAsideAttempt } from "../../server/actions/attempts.ts";
import { answerOf, settledAnswerOf } from "../../server/answers/answerOf.ts";
import { limitQuestion } from "../../server/answers/limitOfBuild.ts";
import { type Reckon, reckoningsOn } from "../../server/answers/reckoned.ts";
import { type FitKind, type FitQuestions, fitAnswerOf } from "../../server/bench/best/limitQuestions.ts";
import type { LimitQuestion } from "../../server/bench/limit/limitCurve.ts";
import type { Journal } from "../../server/store/file/journal.ts";
import { freshJournal, smallWorld, temporaryFolder, testServer, theInstant } from "../support/bench.ts";

const fits: Reckon = async (kind, request) => fitAnswerOf(kind as FitKind, request as FitQuestions[FitKind]);
const neverAnswers: Reckon = () => new Promise(() => undefined);
const fails: Reckon = () => Promise.reject(new Error("The thread died."));

const asked = (journal: Journal, build: string, reckon: Reckon) => {
  const reckonings = reckoningsOn(journal, reckon);
  return {
    atOnce: () => answerOf(journal, reckonings, build),
    settled: () => settledAnswerOf(journal, reckonings, build),
  };
};

/** A build whose search at 1.200 V is over. */
async function doneBuild(file = path.join(temporaryFolder(), "journal.db")) {
  const journal = freshJournal(file);
  const server = await testServer(journal, { reckon: neverAnswers });
  const { cupboard, heavy } = await smallWorld(server);
  const ran = (clockMhz: number, outcome: string, durationS: number, loadTempC = 65) =>
    server.send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ workloadId: heavy, clockMhz, voltageMv: 1200, outcome, durationS },
      ...{ loadTempC, ambientC: 22 },
    });
  for (const clockMhz of [4550, 4600, 4625, 4625]) await ran(clockMhz, "pass", 3600);
  for (const [clockMhz, seconds] of [
    [4650, 500],
    [4675, 40],
    [4700, 5],
  ] as const)
    await ran(clockMhz, "freeze", seconds);
  return { file, journal, cupboard, ran, send: server.send };
}

describe("answerOf", () => {
  it("says nothing of a setting before anything was fitted, and that it is being worked out", async () => {
    const { journal, cupboard } = await doneBuild();
    expect(asked(journal, cupboard, neverAnswers).atOnce()).toMatchObject({
      ...{ state: "too-little", setting: null, reckoning: true, changedBecause: [] },
      because: ["The answer is being worked out from the whole record."],
      restsOn: { attempts: 7, longestS: 3600 },
    });
  });

  it("keeps the answer over a restart, says that it is being worked out, and ends at the same one", async () => {
    const { file, journal, cupboard } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    expect(before).toMatchObject({ state: "done", reckoning: false, setting: { voltageMv: 1200 } });
    await journal.write(() => undefined);
    journal.close();
    const again = freshJournal(file);
    const kept = asked(again, cupboard, neverAnswers).atOnce();
    expect(kept).toEqual({ ...before, reckoning: true });
    expect(await asked(again, cupboard, fits).settled()).toEqual(before);
  });

  it("steps down at once from a setting that just crashed, without a chance, and says which attempt moved it", async () => {
    const { journal, cupboard, ran } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    const { clockMhz } = before.setting!;
    const crash = (await ran(clockMhz, "freeze", 900)).body.id;
    const now = asked(journal, cupboard, neverAnswers).atOnce();
    expect(now).toMatchObject({ state: "looking", reckoning: true, nearer: null });
    expect(now.setting).toMatchObject({ voltageMv: 1200, chance: null });
    expect(now.setting!.clockMhz).toBeLessThan(clockMhz);
    expect(now.because).toEqual([expect.stringContaining(`${clockMhz} MHz at 1.200 V is contested`)]);
    expect(now.changedBecause.map(({ attemptId }) => attemptId)).toEqual([crash]);
  });

  it("steps down at once where what came since shows it to run too warm", async () => {
    const { journal, cupboard, ran } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    for (let run = 0; run < 6; run++) await ran(before.setting!.clockMhz - 25, "pass", 1800, 92);
    const now = asked(journal, cupboard, neverAnswers).atOnce();
    expect(now).toMatchObject({ state: "looking", reckoning: true });
    expect(now.because).toEqual([expect.stringMatching(/runs too warm\. .* too near the limit/)]);
    expect(now.setting?.clockMhz ?? 0).toBeLessThan(before.setting!.clockMhz);
  });

  it("leaves the answer as it is where an attempt that came since says nothing against it", async () => {
    const { journal, cupboard, ran } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    await ran(before.setting!.clockMhz - 50, "pass", 900);
    const now = asked(journal, cupboard, neverAnswers).atOnce();
    expect(now).toMatchObject({ reckoning: true, setting: before.setting, state: before.state });
    expect(now.changedBecause).toEqual(before.changedBecause);
  });

  it("is asked anew for a load that may speak of it, and not for one that no attempt was run under", async () => {
    const { journal, cupboard, send } = await doneBuild();
    const kinds: string[] = [];
    const desk = asked(journal, cupboard, (kind, request, demand) => {
      kinds.push(kind);
      return fits(kind, request, demand);
    });
    const before = await desk.settled();
    const load = (name: string, kind: string) => send("POST", "/api/workloads", { name, kind });
    for (const kind of ["vector", "memory", "idle"]) await load(`another ${kind}`, kind);
    expect([desk.atOnce(), kinds]).toEqual([before, ["best"]]);
    await load("on and off", "transition");
    expect(desk.atOnce()).toEqual({ ...before, reckoning: true });
    expect(kinds).toEqual(["best", "best"]);
  });

  it("asks the fit with the load that was run, the one asked about and those that switch, and with all where only idle ran", async () => {
    const { journal, cupboard, send } = await doneBuild();
    const load = async (name: string, kind: string): Promise<string> =>
      (await send("POST", "/api/workloads", { name, kind })).body.id;
    const [wide, still, switching] = [
      await load("wide lines", "vector"),
      await load("at the desk", "idle"),
      await load("on and off", "transition"),
    ];
    const told = (buildId: string, workloadId: string | null): readonly string[] => {
      const { request } = limitQuestion(journal, { buildId, workloadId });
      return (request(reckoningsOn(journal, neverAnswers)) as LimitQuestion).workloads.map(({ id }) => id);
    };
    const all = journal.workloads.all().map(({ id }) => id);
    const heavy = journal.attempts.triedOf(cupboard)[0]!.workloadId;
    expect(new Set(told(cupboard, null))).toEqual(new Set([heavy, switching]));
    expect(new Set(told(cupboard, wide))).toEqual(new Set([heavy, switching, wide]));
    const made = async (url: string, body: object) => (await send("POST", url, body)).body.id as string;
    const stock = { stockClockMhz: 4000, stockVoltageMv: 1150, tempLimitC: 95, voltageCeilingMv: 1350 };
    const chipId = await made("/api/chips", { name: "Heron 6", kind: "cpu", ...stock });
    const { boardId } = journal.builds.find(cupboard)!;
    const shelf = await made("/api/builds", { name: "Shelf", chipId, boardId });
    const idled = {
      ...{ clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 900 },
      workloadId: still,
    };
    await send("POST", `/api/builds/${shelf}/attempts`, idled);
    expect(new Set(told(shelf, null))).toEqual(new Set(all));
  });

  it("steps down at once where the room is now said to grow hotter than its setting allows", async () => {
    const { journal, cupboard } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    const build = journal.builds.find(cupboard)!;
    journal.writeNow(() => journal.builds.replace(cupboard, { ...build, hottestAmbientC: 60 }, theInstant));
    const now = asked(journal, cupboard, neverAnswers).atOnce();
    expect(now.because).toEqual([expect.stringContaining("runs too warm")]);
    expect(now.setting).not.toEqual(before.setting);
  });

  it("steps down at once where what its setting rests on is set aside", async () => {
    const { journal, cupboard } = await doneBuild();
    const before = await asked(journal, cupboard, fits).settled();
    const ranThere = journal.attempts
      .evidenceOf(cupboard)
      .filter(({ clockMhz }) => clockMhz >= before.setting!.clockMhz);
    const at = { journal, now: theInstant };
    journal.writeNow(() => {
      for (const { id } of ranThere) setAsideAttempt(id, "Another load ran.", at);
    });
    const now = asked(journal, cupboard, neverAnswers).atOnce();
    expect(now.because).toEqual([expect.stringContaining("no longer on record")]);
    expect(now.setting).not.toEqual(before.setting);
  });

  it("tells that a fit failed, keeps the last answer, and without one goes a step under the highest held", async () => {
    const { journal, cupboard, ran } = await doneBuild();
    const failing = asked(journal, cupboard, fails);
    const plain = await failing.settled();
    expect(plain.because[0]).toContain("could not be fitted");
    expect(plain).toMatchObject({ state: "too-little", reckoning: true });
    expect(plain.setting).toMatchObject({ clockMhz: 4600, voltageMv: 1200, chance: null, from: "held" });
    const fitted = await asked(journal, cupboard, fits).settled();
    await ran(4500, "pass", 900);
    const kept = await asked(journal, cupboard, fails).settled();
    expect(kept.because[0]).toContain("could not be fitted");
    expect(kept).toMatchObject({ reckoning: true, setting: fitted.setting });
  });
});
