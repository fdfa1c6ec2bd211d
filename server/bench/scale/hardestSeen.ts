import { provenFromS } from "../frontier/provenRuns.ts";
import { contesting } from "../frontier/standingFailures.ts";
import { chanceOfHours } from "../limit/limitReach.ts";
import { passesTooSeldom, ranTooShort } from "../next/nextWords.ts";
import { hardnessOf } from "../order/partsOfRun.ts";
import { outcomeClass, outcomeWords } from "../things/outcome.ts";
import type { ScaleDesk } from "./scaleDesk.ts";
import { type LevelRow, scaleVoltageMv } from "./scaleFit.ts";
import { levelInWords, levelTooWarm } from "./scaleWords.ts";

/** A level harder than the answer that passed once, and why it is not the answer. */
export type HardestSeen = Readonly<{ level: number; attemptId: string; because: string }>;

/** The hardest level that passed under load; null where it is no harder than the answer. */
export function hardestSeenOf(desk: ScaleDesk, answer: number | null): HardestSeen | null {
  const { rows, scale } = desk.question;
  const hardness = (level: number): number => hardnessOf(level, scale.harder);
  const top = rows
    .filter(({ row }) => outcomeClass(row.outcome) === "pass")
    .reduce<LevelRow | null>(
      (most, one) => (most === null || hardness(one.level) > hardness(most.level) ? one : most),
      null,
    );
  if (top === null || (answer !== null && hardness(top.level) <= hardness(answer))) return null;
  return { level: top.level, attemptId: top.row.id, because: whyNot(top, desk) };
}

function whyNot({ level }: LevelRow, { desk, at, fitted, question }: ScaleDesk): string {
  const setting = { clockMhz: fitted.layout.partsAt(level), voltageMv: scaleVoltageMv };
  const against = contesting(desk.failures, setting);
  if (against !== undefined) {
    const failed = fitted.layout.levelAt(against.clockMhz);
    const { unit, usual } = question.scale;
    const where =
      failed === level ? "Another run there" : `At ${levelInWords({ name: "", unit, usual }, failed).trim()}`;
    return `${where}: ${outcomeWords[against.row.outcome]}.`;
  }
  const found = chanceOfHours(at.all, setting, desk.wanted.hours);
  if (found < desk.wanted.chance) return passesTooSeldom(found, desk.wanted);
  return desk.proven.longestS(setting) < provenFromS
    ? ranTooShort
    : levelTooWarm(levelInWords(question.scale, level), question.hottestAmbientC);
}
