import { describe, expect, it } from "vitest";
import { noiseDraft } from "../../server/bench/noise/noiseReading.ts";
import { attemptDraft } from "../../server/bench/things/attempt.ts";
import { boardDraft } from "../../server/bench/things/board.ts";
import { buildDraft, partNames } from "../../server/bench/things/build.ts";
import { chipDraft } from "../../server/bench/things/chip.ts";
import { isCrash } from "../../server/bench/things/outcome.ts";
import { ruleDraft } from "../../server/bench/things/rule.ts";
import { isId } from "../../server/bench/things/units.ts";
import { workloadDraft } from "../../server/bench/things/workload.ts";
import { demoBenches } from "../../server/demo/demoBenches.ts";
import type { SetAttempt } from "../../server/demo/intent.ts";
import { demoHeatRuns, demoScenario } from "../../server/demo/scenario.ts";
import { acceptableClockMhz } from "../support/drawnBench.ts";

const now = "2031-05-04T15:42:00.000Z";
const demo = demoScenario(now);
const { attempts, builds, mounts } = demo;
const chip = demo.chips[0];

const named = (name: RegExp) => builds.filter((build) => name.test(build.name)).map((build) => build.id);
const ofBuilds = (ids: readonly string[]) => attempts.filter((attempt) => ids.includes(attempt.buildId));
const idle = demo.workloads.find((workload) => workload.kind === "idle")?.id;
const counted = (attempt: SetAttempt) =>
  attempt.setAside === null && attempt.clockMode !== "boost" && attempt.workloadId !== idle;
const median = (values: readonly number[]) =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
const endMs = (attempt: SetAttempt) => Date.parse(attempt.startedAt) + (attempt.durationS ?? 0) * 1000;

function contested(pass: SetAttempt): boolean {
  return ofBuilds([pass.buildId]).some(
    (crash) =>
      counted(crash) &&
      isCrash(crash.outcome) &&
      crash.voltageMv >= pass.voltageMv &&
      crash.clockMhz <= pass.clockMhz &&
      crash.startedAt > pass.startedAt,
  );
}

describe("demoScenario", () => {
  it("is the same for the same instant and seed, and another for another seed", () => {
    expect(demoScenario(now)).toEqual(demo);
    expect(demoScenario(now, 5)).not.toEqual(demo);
  });

  it("holds about 160 attempts over an evening and three bench days", () => {
    expect(attempts.length).toBeGreaterThanOrEqual(140);
    expect(attempts.length).toBeLessThanOrEqual(165);
    expect(new Set(attempts.map((attempt) => attempt.startedAt.slice(0, 10))).size).toBe(4);
  });

  it.each(["2031-05-04T00:03:00.000Z", "2031-05-04T12:00:00.000Z", "2031-05-04T23:59:00.000Z"])(
    "ends on the day before %s",
    (instant) => {
      const last = demoScenario(instant).attempts.at(-1) as SetAttempt;
      expect(last.startedAt.slice(0, 10)).toBe("2031-05-03");
      expect(last.updatedAt < instant).toBe(true);
    },
  );

  it("runs one attempt at a time", () => {
    for (const [index, attempt] of attempts.entries()) {
      const next = attempts[index + 1];
      if (next) expect(Date.parse(next.startedAt)).toBeGreaterThanOrEqual(endMs(attempt));
    }
  });

  it("has an id of its own for everything, shaped as the journal's are", () => {
    const things = [
      demo.chips,
      demo.boards,
      demo.workloads,
      demo.rules,
      builds,
      mounts,
      attempts,
      demo.noise,
    ].flat();
    expect(things.every((thing) => isId(thing.id))).toBe(true);
    expect(new Set(things.map((thing) => thing.id)).size).toBe(things.length);
  });

  it("holds nothing that the journal would refuse", () => {
    const bare = (thing: object, ...more: string[]) => {
      const left = ["id", "createdAt", "updatedAt", "version", ...more];
      return Object.fromEntries(Object.entries(thing).filter(([field]) => !left.includes(field)));
    };
    for (const each of demo.chips) expect(chipDraft.parse(bare(each))).toEqual(bare(each));
    for (const each of demo.boards) expect(boardDraft.parse(bare(each))).toEqual(bare(each));
    for (const each of demo.workloads) expect(workloadDraft.parse(bare(each))).toEqual(bare(each));
    for (const each of demo.rules) expect(ruleDraft.parse(bare(each))).toEqual(bare(each));
    for (const each of builds) expect(buildDraft.parse(bare(each))).toEqual(bare(each));
    for (const each of demo.noise)
      expect(noiseDraft.parse(bare(each, "buildId"))).toEqual(bare(each, "buildId"));
    for (const each of attempts) {
      const draft = bare(each, "buildId", "mountId", "asBuilt", "setAside");
      expect(attemptDraft.parse(draft)).toEqual(draft);
      if (each.outcome === "pass" && each.plannedS !== null) expect(each.durationS).toBe(each.plannedS);
    }
  });

  it("stays on the chip's grid and under its ceiling", () => {
    for (const { clockMhz, voltageMv } of attempts) {
      expect(clockMhz % (chip?.clockStepMhz ?? 0)).toBe(0);
      expect(voltageMv % (chip?.voltageStepMv ?? 0)).toBe(0);
      expect(voltageMv).toBeLessThanOrEqual(chip?.voltageCeilingMv ?? 0);
    }
  });

  it("tries five voltages or more on each board", () => {
    for (const board of [/Quay L/, /Quay S/])
      expect(new Set(ofBuilds(named(board)).map((attempt) => attempt.voltageMv)).size).toBeGreaterThanOrEqual(
        5,
      );
  });

  it("gives each attempt the latest mount before it", () => {
    for (const attempt of attempts) {
      const before = mounts.filter(
        (mount) =>
          mount.buildId === attempt.buildId &&
          (mount.mountedAt === null || mount.mountedAt <= attempt.startedAt),
      );
      const latest = before.toSorted((a, b) => ((a.mountedAt ?? "") < (b.mountedAt ?? "") ? 1 : -1))[0];
      expect(attempt.mountId).toBe(latest?.id);
    }
  });
});

describe("the demo's characters", () => {
  it("passes that were believed in and crashed later at the same or an easier setting, on every build", () => {
    const claims = attempts.filter(
      (attempt) => counted(attempt) && attempt.outcome === "pass" && contested(attempt),
    );
    expect(new Set(claims.map((attempt) => attempt.buildId))).toEqual(
      new Set(builds.map((build) => build.id)),
    );
    expect(claims.some((attempt) => attempt.durationS === 600)).toBe(true);
  });

  it("a thermal stop in the cupboard, at the chip's limit", () => {
    const hot = attempts.filter((attempt) => attempt.outcome === "too-hot");
    expect(hot.length).toBeGreaterThan(0);
    for (const attempt of hot) {
      expect(named(/Cupboard/)).toContain(attempt.buildId);
      expect(attempt.peakTempC).toBe(chip?.tempLimitC);
    }
  });

  it("three mounts with two pastes, on the frame and in the cupboard, all of them run", () => {
    for (const build of [...named(/frame, Quay L/), ...named(/Cupboard, Quay S/)]) {
      const own = mounts.filter((mount) => mount.buildId === build);
      expect(own).toHaveLength(3);
      expect(new Set(own.map((mount) => mount.paste)).size).toBe(2);
      expect(new Set(ofBuilds([build]).map((attempt) => attempt.mountId)).size).toBe(3);
    }
  });

  it("a variant of another build with one change", () => {
    const variants = builds.filter((build) => build.basedOn !== null);
    expect(variants).toHaveLength(1);
    expect(variants[0]?.change).toMatch(/door/);
    const original = builds.find((build) => build.id === variants[0]?.basedOn);
    for (const part of partNames) expect(variants[0]?.[part]).toBe(original?.[part]);
  });

  it("firmware renewed between two attempts of one build, each stamped with its own", () => {
    const stamps = ofBuilds(named(/frame, Quay S/)).map((attempt) => attempt.asBuilt.firmware);
    expect([...new Set(stamps)]).toEqual(["1.04", "1.06"]);
  });

  it("a boost attempt, one set aside with its reason, one stopped, one disturbed, one with more set", () => {
    expect(attempts.filter((attempt) => attempt.clockMode === "boost")).toHaveLength(1);
    expect(attempts.find((attempt) => attempt.clockMode === "boost")?.effectiveClockMhz).not.toBeNull();
    expect(
      attempts.filter((attempt) => attempt.setAside !== null).map(({ setAside }) => setAside?.reason),
    ).toEqual([expect.stringMatching(/fan/)]);
    for (const outcome of ["stopped", "disturbed"])
      expect(attempts.some((attempt) => attempt.outcome === outcome)).toBe(true);
    expect(attempts.some((attempt) => attempt.alsoSet.length > 0)).toBe(true);
  });

  it("a night that ended somewhere between bedtime and breakfast", () => {
    const dead = attempts.find((attempt) => attempt.failedFromS !== null) as SetAttempt;
    expect(isCrash(dead.outcome)).toBe(true);
    expect(dead.failedToS).toBeGreaterThan(dead.failedFromS as number);
  });

  it("repeated control runs on every build, alike but for the build", () => {
    for (const build of builds) {
      const runs = ofBuilds([build.id]).filter((attempt) => attempt.tags.includes("control"));
      expect(runs.length).toBeGreaterThanOrEqual(2);
      for (const run of runs) expect(run).toMatchObject({ clockMhz: 4550, voltageMv: 1200, durationS: 900 });
    }
  });

  it("a room of its own each day, three degrees apart", () => {
    const days = [...new Set(attempts.map((attempt) => attempt.startedAt.slice(0, 10)))].slice(-3);
    const rooms = days.map((day) =>
      median(
        attempts.flatMap(({ startedAt, ambientC }) =>
          startedAt.startsWith(day) && ambientC ? [ambientC] : [],
        ),
      ),
    );
    expect(Math.abs((rooms[1] as number) - (rooms[0] as number))).toBeGreaterThan(3);
    expect(Math.abs((rooms[2] as number) - (rooms[1] as number))).toBeGreaterThan(3);
  });

  // Common practice, no source: boards that feed the same chip differ by a step or two at equal voltage.
  it("one board a step or two behind the other at equal voltage", () => {
    for (const voltageMv of [1100, 1150, 1200, 1250]) {
      const ahead =
        acceptableClockMhz(demoBenches.frameL, voltageMv) - acceptableClockMhz(demoBenches.frameS, voltageMv);
      expect(ahead).toBeGreaterThan(25);
      expect(ahead).toBeLessThan(60);
    }
  });

  it("values left out as people leave them out", () => {
    const passes = attempts.filter((attempt) => attempt.outcome === "pass");
    const share = (missing: (attempt: SetAttempt) => boolean) =>
      passes.filter(missing).length / passes.length;
    expect(share((attempt) => attempt.ambientC === null)).toBeGreaterThan(0.03);
    expect(share((attempt) => attempt.ambientC === null)).toBeLessThan(0.3);
    expect(share((attempt) => attempt.powerW === null)).toBeGreaterThan(0.1);
    expect(share((attempt) => attempt.loadTempC === null)).toBeLessThan(0.15);
    expect(share((attempt) => attempt.note === "")).toBeGreaterThan(0.3);
    expect(share((attempt) => attempt.note === "")).toBeLessThan(0.8);
  });

  it("noise readings of each build at idle and loaded, one near the background, one without it", () => {
    const nearest = demo.noise.map(
      ({ levelsDba, backgroundDba }) => median(levelsDba) - (backgroundDba ?? -99),
    );
    expect(new Set(demo.noise.map((reading) => reading.buildId)).size).toBe(builds.length);
    expect(Math.min(...nearest)).toBeLessThan(3);
    expect(demo.noise.filter((reading) => reading.backgroundDba === null)).toHaveLength(1);
  });

  it("rules beyond the standard one, met by some setting and not by others", () => {
    const night = demo.rules.find((rule) => rule.requires.length === 2);
    const met = attempts.filter((attempt) =>
      night?.requires.every((wanted) =>
        ofBuilds([attempt.buildId]).some(
          (other) =>
            other.clockMhz === attempt.clockMhz &&
            other.voltageMv === attempt.voltageMv &&
            other.workloadId === wanted.workloadId &&
            other.outcome === "pass" &&
            (other.durationS ?? 0) >= wanted.durationS,
        ),
      ),
    );
    expect(met.length).toBeGreaterThan(0);
    expect(met.length).toBeLessThan(attempts.length / 2);
  });

  it("invented parts that say so, described in plain words otherwise", () => {
    for (const part of [...demo.chips, ...demo.boards]) {
      expect(part.name).toMatch(/^(Tern 8|Quay [SL])$/);
      expect(part.note).toMatch(/^Invented for the demo\./);
    }
    const told = builds.flatMap((build) => partNames.map((part) => build[part]));
    const capitalised = [...told, ...mounts.map((mount) => mount.paste ?? "")].flatMap(
      (text) => text.match(/\b[A-Z]\w*/g) ?? [],
    );
    expect(new Set(capitalised)).toEqual(new Set(["GB", "MT", "W"]));
  });
});

describe("demoHeatRuns", () => {
  const runs = demoHeatRuns(now);

  it("logs each build's load at stock and the proofs of an hour, thousands of samples in all", () => {
    expect(runs.length).toBeGreaterThanOrEqual(6);
    expect(Math.max(...runs.map((run) => run.csv.split("\n").length))).toBeGreaterThan(4000);
    expect(demoHeatRuns(now)).toEqual(runs);
  });

  it("levels where the attempt says it did", () => {
    for (const { attemptId, csv } of runs) {
      const attempt = attempts.find(({ id }) => id === attemptId) as SetAttempt;
      if (attempt.loadTempC === null) continue;
      const rows = csv.trimEnd().split("\n").slice(1);
      const under = rows.filter((row) => row.endsWith(",100")).slice(-180);
      const level = under.reduce((sum, row) => sum + Number(row.split(",")[1]), 0) / under.length;
      expect(Math.abs(level - attempt.loadTempC)).toBeLessThan(1);
    }
  });
});
