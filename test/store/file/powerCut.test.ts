import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import path from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { temporaryFolder } from "../../support/bench.ts";
import { findingsAfterCuts, stepsIn } from "../../support/powerCut/replay.ts";

const support = path.resolve(import.meta.dirname, "../../support/powerCut");
const compiler = spawnSync("gcc", ["--version"]).status === 0;
const possible = process.platform === "linux" && compiler;
if (!possible) console.warn("Power cuts are NOT tested: that needs Linux and gcc.");

/** Everything a writing process did to its files, in order. */
function recordedWriting(level: "FULL" | "NORMAL" | "OFF", attempts: number) {
  const folder = temporaryFolder();
  const recorder = path.join(folder, "recorder.so");
  execFileSync("gcc", ["-shared", "-fPIC", "-O2", "-o", recorder, path.join(support, "recorder.c"), "-ldl"]);
  const written = path.join(folder, "written");
  mkdirSync(written);
  const log = path.join(folder, "log");
  spawnSync(
    process.execPath,
    ["--import", "tsx", path.join(support, "writer.ts"), written, level, String(attempts)],
    {
      env: { ...process.env, LD_PRELOAD: recorder, RECORD_FOLDER: written, RECORD_LOG: log },
    },
  );
  return { steps: stepsIn(log, written), scratch: path.join(folder, "cut") };
}

describe.runIf(possible)("a power cut at any moment", { timeout: 180_000 }, () => {
  let full: ReturnType<typeof recordedWriting>;
  beforeAll(() => {
    full = recordedWriting("FULL", 60);
  }, 120_000);

  it("loses no acknowledged attempt and breaks nothing", () => {
    const acknowledged = full.steps.filter((step) => step.name === "acknowledged" && step.kind === "write");
    expect(acknowledged).toHaveLength(60);
    const findings = findingsAfterCuts(full.steps, full.scratch, 150, 1);
    expect(findings.states).toBeGreaterThan(400);
    expect(findings).toMatchObject({ broken: [], lost: 0 });
  });

  it("would lose some under a lesser level, which shows that the test can fail", () => {
    for (const level of ["NORMAL", "OFF"] as const) {
      const { steps, scratch } = recordedWriting(level, 40);
      const findings = findingsAfterCuts(steps, scratch, 40, 1);
      expect([level, findings.lost + findings.broken.length > 0]).toEqual([level, true]);
    }
  });
});
