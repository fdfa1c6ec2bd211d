import { describe, expect, it } from "vitest";
import { loadProof, type ProofMoment, type ProofOf } from "../../server/attend/loadProof.ts";
import { nothingRead } from "../../server/attend/reading.ts";

const unknown = { powerW: null, loadTempC: null };
const usual: ProofOf = { kind: "all-core", processors: 8, expected: unknown, wantsProgress: false };

/** Threads that have each run so many seconds. */
const threads = (...cpuS: readonly number[]) => new Map(cpuS.map((s, i) => [i + 1, s]));
const each = (count: number, cpuS: number): number[] => Array.from({ length: count }, () => cpuS);

/** Looks every ten seconds at what the moments say, and gives when the run was ended, and whether it is proved. */
function looked(of: ProofOf, count: number, at: (t: number) => Partial<ProofMoment>) {
  const proof = loadProof(of);
  for (let t = 0; t <= 10 * count; t++) {
    const moment = { t, threads: null, reading: nothingRead, progressedAtS: null, ...at(t) };
    const ending = proof.look(moment);
    if (ending !== null) return { t, ...ending, proved: proof.isProved() };
  }
  return { t: null, proved: proof.isProved(), because: proof.because() };
}

describe("a load", () => {
  it("is proved by threads that are busy for 95 % of the time", () => {
    expect(looked(usual, 12, (t) => ({ threads: threads(...each(8, 0.96 * t)) }))).toMatchObject({
      t: null,
      proved: true,
    });
    expect(looked(usual, 12, (t) => ({ threads: threads(...each(8, 0.9 * t)) }))).toMatchObject({
      t: 30,
      outcome: "load-stalled",
    });
  });

  it("may use half of the processors, with a thread that only waits for the others", () => {
    expect(looked(usual, 12, (t) => ({ threads: threads(0.1, ...each(4, t)) }))).toMatchObject({
      proved: true,
    });
  });

  it("that sleeps, or falls back to one thread, has stalled half a minute later", () => {
    expect(looked(usual, 12, () => ({ threads: threads(...each(8, 0.2)) }))).toMatchObject({ t: 30 });
    const falls = (t: number) => ({ threads: threads(t, ...each(7, Math.min(t, 60))) });
    expect(looked(usual, 20, falls)).toMatchObject({
      t: 90,
      because: "The load kept 1.0 of 8 threads busy.",
    });
    const one = { ...usual, kind: "single-core" as const };
    expect(looked(one, 12, (t) => ({ threads: threads(t) }))).toMatchObject({ t: null, proved: true });
  });

  it("that loops without work draws less than it did before", () => {
    const of = { ...usual, expected: { powerW: 140, loadTempC: 75 } };
    const drawing = (powerW: number) => (t: number) => ({
      threads: threads(...each(8, t)),
      reading: { ...nothingRead, powerW },
    });
    expect(looked(of, 12, drawing(130))).toMatchObject({ t: null, proved: true });
    expect(looked(of, 12, drawing(80))).toMatchObject({ t: 30, because: expect.stringContaining("80 W") });
    const warming = (levelC: number) => (t: number) => ({
      threads: threads(...each(8, t)),
      reading: { ...nothingRead, tempC: 40 + (levelC - 40) * (1 - Math.exp(-t / 60)) },
    });
    expect(looked(of, 30, warming(74))).toMatchObject({ t: null, proved: true });
    expect(looked(of, 30, warming(46))).toMatchObject({ because: expect.stringContaining("too cool") });
  });

  it("prints new work where a pattern for it is given", () => {
    const of = { ...usual, wantsProgress: true };
    const busy = (t: number) => threads(...each(8, t));
    expect(looked(of, 12, (t) => ({ threads: busy(t), progressedAtS: t - 5 }))).toMatchObject({
      proved: true,
    });
    expect(looked(of, 20, (t) => ({ threads: busy(t), progressedAtS: Math.min(t, 40) }))).toMatchObject({
      t: 100,
      because: "The load printed no new work.",
    });
  });

  it("of graphics is proved by its progress alone", () => {
    const of = { ...usual, kind: "graphics" as const };
    expect(looked(of, 12, () => ({}))).toMatchObject({ t: 30, outcome: "load-stalled" });
    const seen = looked({ ...of, wantsProgress: true }, 12, (t) => ({ progressedAtS: t }));
    expect(seen).toMatchObject({ t: null, proved: true });
  });
});
