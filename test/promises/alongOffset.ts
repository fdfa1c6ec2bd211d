import { acceptableHazardPerMinute, answerOfUse, targetOfUse } from "../../server/bench/limit/acceptance.ts";
import type { LevelRow } from "../../server/bench/scale/scaleFit.ts";
import { nextOnScale } from "../../server/bench/scale/scaleNext.ts";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { type CurveKind, type CurvePart, curveKinds, curvePart } from "../support/curvePart.ts";
import { testChip, testWorkload } from "../support/evidenceRows.ts";
import { otherCurvePart } from "../support/otherCurvePart.ts";
import { type Mean, meanOf, percent, shareOf, told } from "./statistics.ts";
import type { simulators } from "./subjects.ts";
import type { Table } from "./table.ts";

/** A part that is set by offset on a bench, and the chance of that bench. */
type PartOnBench = Readonly<{ part: CurvePart; random: SeededRandom }>;

/** The part of a number, the same for every rule tried on it; softness as broadly drawn as for clocks. */
export function partOnBench(
  seed: number,
  index: number,
  kind: CurveKind,
  simulator: (typeof simulators)[number],
): PartOnBench {
  const softnessMhz = 14 * Math.exp(0.5 * seededRandom(seed + 900_000 + index).normal());
  const drawn = seededRandom(seed + index);
  return {
    part:
      simulator === "first"
        ? curvePart(kind, index, drawn, softnessMhz)
        : otherCurvePart(kind, drawn, { softnessMhz }),
    random: seededRandom(seed + 500_000 + index),
  };
}

const hazard = acceptableHazardPerMinute(targetOfUse.benchmark);
const longestWalk = 60;

export type OffsetWalk = Readonly<{
  /** In steps beyond stock; null where the search did not end. */
  steps: number | null;
  claimed: number;
  minutes: number;
  crashes: number;
}>;

class Bench {
  minutes = 0;
  crashes = 0;
  rows: LevelRow[] = [];
  readonly on: PartOnBench;
  constructor(on: PartOnBench) {
    this.on = on;
  }
  passes(level: number, minutes: number): boolean {
    const { at, benchMinutes } = this.on.part.ran(level, minutes, this.on.random);
    this.rows.push(at);
    this.minutes += benchMinutes;
    const passed = at.row.outcome === "pass";
    if (!passed) this.crashes += 1;
    return passed;
  }
  walk(steps: number | null, claimed = Number.NaN): OffsetWalk {
    return { steps, claimed, minutes: this.minutes, crashes: this.crashes };
  }
}

const perStep = ({ scale }: CurvePart): number => (scale.harder === "up" ? scale.step : -scale.step);

/** What is proposed, until it is settled. */
export function proposedAlong(on: PartOnBench): OffsetWalk {
  const bench = new Bench(on);
  const { part } = on;
  const chip = testChip({ stockClockMhz: part.stock.clockMhz, stockVoltageMv: part.stock.voltageMv });
  for (let turn = 1; turn <= longestWalk; turn++) {
    const next = nextOnScale({
      ...{ scale: part.scale, chip, hottestAmbientC: 30, rows: bench.rows, seed: turn },
      workloads: [testWorkload("all-core")],
    });
    if ("state" in next) break;
    if ("settled" in next)
      return bench.walk(Math.round(next.settled.level / perStep(part)), next.settled.chance);
    bench.passes(next.level, next.durationS / 60);
  }
  return bench.walk(null);
}

/** Four steps of five minutes at a time, then single steps of twenty, the answer five below the last pass: a pencil's best. */
export function pencilAlong(on: PartOnBench): OffsetWalk {
  const bench = new Bench(on);
  const step = perStep(on.part);
  let at = 4;
  while (bench.passes(at * step, 5)) at += 4;
  at -= 3;
  while (bench.passes(at * step, 20)) at += 1;
  return bench.walk(at - 6);
}

export type OffsetFigures = Readonly<{
  under: Mean;
  minutes: Mean;
  crashes: Mean;
  unfit: Mean;
  hours: Mean;
  claimed: Mean;
  endless: number;
}>;

export function figuresAlong(
  benches: readonly PartOnBench[],
  rule: (on: PartOnBench) => OffsetWalk,
): OffsetFigures {
  const walks = benches.map((on) => ({ on, walk: rule(on) }));
  const judged = walks.flatMap(({ on: { part }, walk }) => {
    if (walk.steps === null) return [];
    const under = part.stepsAt(hazard) - walk.steps;
    const hours = Math.exp(-60 * part.hazardAt(walk.steps * perStep(part)));
    return [{ under, hours, claimed: walk.claimed }];
  });
  return {
    under: meanOf(judged.map(({ under }) => under)),
    minutes: meanOf(walks.map(({ walk }) => walk.minutes)),
    crashes: meanOf(walks.map(({ walk }) => walk.crashes)),
    unfit: shareOf(judged, ({ under }) => under < 0),
    hours: meanOf(judged.map(({ hours }) => hours)),
    claimed: meanOf(judged.map(({ claimed }) => claimed)),
    endless: walks.length - judged.length,
  };
}

/** What is promised of a search at one voltage, in steps of 25 MHz. */
const goals = { underSteps: 2.2, minutes: 110, crashes: 3, unfit: 0.08, hours: 0.97 };

export function alongOffset(
  table: Table,
  {
    simulator,
    seed,
    chips,
  }: Readonly<{ simulator: (typeof simulators)[number]; seed: number; chips: number }>,
): void {
  for (const kind of curveKinds) {
    const benches = () =>
      Array.from({ length: chips }, (_, index) => partOnBench(seed, index, kind, simulator));
    const name = `offset chips, ${kind}, ${simulator} simulator`;
    const ours = figuresAlong(benches(), proposedAlong);
    const row = (what: string, value: string, goal: string, met: boolean) =>
      table.promise(`${name}: ${what}`, value, goal, met);
    row(
      "steps under the truth",
      told(ours.under, 1),
      `${goals.underSteps}`,
      ours.under.mean <= goals.underSteps,
    );
    row("minutes", told(ours.minutes), `${goals.minutes}`, ours.minutes.mean <= goals.minutes);
    row("crashes a search", told(ours.crashes, 1), `${goals.crashes}`, ours.crashes.mean <= goals.crashes);
    row("unfit answers", percent(ours.unfit), `${100 * goals.unfit} %`, ours.unfit.mean <= goals.unfit);
    row(
      `hours at the answer that pass (claimed ${(100 * ours.claimed.mean).toFixed(1)} %, asked ${100 * answerOfUse.benchmark.chance})`,
      percent(ours.hours),
      `${100 * goals.hours} %`,
      ours.hours.mean >= goals.hours,
    );
    row("searches that never end", `${ours.endless} of ${chips}`, "0", ours.endless === 0);
    const pencil = figuresAlong(benches(), pencilAlong);
    table.figure(
      `${name}: 4 steps of 5 min, then single ones of 20, five below`,
      `${told(pencil.minutes)} min, ${told(pencil.under, 1)} steps under, ${percent(pencil.unfit)} unfit, ${pencil.crashes.mean.toFixed(1)} crashes`,
    );
  }
}
