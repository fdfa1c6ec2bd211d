import { isCrash } from "../bench/things/outcome.ts";
import type { BenchDiary, DemoPlace, DiaryEntry } from "./benchDiary.ts";

export type ClimbPlan = Readonly<{
  voltageMv: number;
  fromMhz: number;
  screenMin: number;
  /** The run at the end; a quarter of an hour where nothing longer is meant. */
  proofMin?: number;
}>;

/** A sensible tester's way up one voltage: coarse steps until it fails, one fine step back, then prove what is left. */
export function climb(diary: BenchDiary, place: DemoPlace, plan: ClimbPlan): number {
  const screen = (clockMhz: number) => held(diary.tryOut(place, screening(plan, clockMhz)));
  let clockMhz = plan.fromMhz;
  while (screen(clockMhz)) clockMhz += 50;
  if (clockMhz === plan.fromMhz) {
    do clockMhz -= 25;
    while (!screen(clockMhz));
  } else clockMhz = screen(clockMhz - 25) ? clockMhz - 25 : clockMhz - 50;
  return proved(diary, place, plan, clockMhz);
}

/** Down a step after each proof that fails: a pass that was believed in becomes a contested one. */
function proved(diary: BenchDiary, place: DemoPlace, plan: ClimbPlan, fromMhz: number): number {
  const { voltageMv, proofMin: minutes = 15 } = plan;
  const proof = minutes >= 30;
  let clockMhz = fromMhz;
  while (!held(diary.tryOut(place, { load: "stacking", clockMhz, voltageMv, minutes, proof })))
    clockMhz -= 25;
  return clockMhz;
}

const screening = ({ voltageMv, screenMin }: ClimbPlan, clockMhz: number) =>
  ({ load: "stacking", clockMhz, voltageMv, minutes: screenMin }) as const;

const held = ({ attempt }: DiaryEntry): boolean => !isCrash(attempt.outcome) && attempt.outcome !== "too-hot";
