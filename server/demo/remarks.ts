import { isCrash, neverStarted, type Outcome } from "../bench/things/outcome.ts";
import type { SeededRandom } from "../numerics/seededRandom.ts";

/** The tester's voice: what gets scribbled beside an attempt, and mostly nothing does. */
const pools = {
  pass: [
    "quiet run, nothing to report",
    "second half a touch warmer, sun came round",
    "fan settled after five minutes",
    "went for coffee, still alive",
    "no errors in the system log",
    "frames look right, spot-checked ten",
    "one stutter at the start, then smooth",
    "supply whines a bit at this load",
    "better than I expected",
    "thermometer moved away from the exhaust",
    "curve looks flat from minute eight",
    "that makes two at this clock",
    "",
  ],
  proof: [
    "proof run, left alone with the door shut",
    "proof run",
    "the long one; phone timer says so too",
    "left it going over a meal",
    "if this holds I call it a day at this voltage",
  ],
  early: [
    "went black as soon as all cores were up",
    "gone before I sat down",
    "did not even finish the first batch",
    "one click and gone",
    "expected, just wanted to see",
  ],
  late: [
    "so close",
    "was sure of this one",
    "no warning at all, screen just stood still",
    "came back by itself, log ends mid-line",
    "mouse froze first, then everything",
    "one batch short",
    "hm. The step below looked rock solid too",
  ],
  start: [
    "fans spin, no picture",
    "three beeps and a reset",
    "needed the clear button",
    "two tries, then gave up",
    "black screen, long press",
  ],
} as const;

export type RemarkPool = keyof typeof pools;

/** Remarks drawn without repeating one until its pool is empty. */
export function remarkDrawer(random: SeededRandom): (pool: RemarkPool) => string {
  const left = new Map<RemarkPool, string[]>();
  return (pool) => {
    const rest = left.get(pool)?.length ? (left.get(pool) ?? []) : [...pools[pool]];
    const [drawn] = rest.splice(random.index(rest.length), 1);
    left.set(pool, rest);
    return drawn ?? "";
  };
}

export function remarkPool(outcome: Outcome, durationS: number, proof: boolean): RemarkPool | undefined {
  if (neverStarted(outcome)) return "start";
  if (isCrash(outcome)) return durationS < 120 ? "early" : "late";
  if (outcome === "pass") return proof ? "proof" : "pass";
  return undefined;
}
