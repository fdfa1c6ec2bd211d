import { describe, expect, it } from "vitest";
import type { Comparison } from "../../../server/bench/comparison/comparison.ts";
import type { LoudnessRow } from "../../../server/bench/comparison/loudness.ts";
import { judgedBy } from "../../../server/bench/comparison/together.ts";
import type { Account } from "../../../server/bench/writeUp/account.ts";
import { recommendationWords } from "../../../server/bench/writeUp/recommendation.ts";

type Row = Readonly<Record<string, unknown>>;
/** What sums it up is judged together, and stands unless it is said not to. */
const compared = (
  rows: Readonly<{ clocks?: Row[]; heat?: Row[]; noise?: Row[] }>,
  verdictTogether: (row: Row) => unknown = ({ verdict }) => verdict,
) =>
  ({
    clockUnit: "MHz",
    offsets: null,
    together: [
      ...(rows.clocks ?? []).map((row) => ({ measure: "clock", place: null, verdict: verdictTogether(row) })),
      ...[...(rows.heat ?? []), ...(rows.noise ?? [])].map((row) => ({
        ...judgedBy(row as unknown as LoudnessRow),
        verdict: verdictTogether(row),
      })),
    ],
    clock: rows.clocks?.[0] ?? { verdict: "not-enough" },
    sameVoltage: rows.clocks ?? [],
    sameSetting: rows.heat ?? [],
    noise: rows.noise ?? [],
    score: [],
  }) as unknown as Comparison;

const account = (use: Account["use"], comparison: Comparison | null, a = 4600, b = 4650) =>
  ({
    use,
    comparisons:
      comparison === null ? [] : [{ aName: "Frame", bName: "Shelf", comparison, equalLoudness: null }],
    recommendations: [
      { buildName: "Frame", use, setting: { clockMhz: a, voltageMv: 1200 }, because: [] },
      { buildName: "Shelf", use, setting: { clockMhz: b, voltageMv: 1225 }, because: [] },
    ],
  }) as unknown as Account;

const clock = (low: number, high: number, verdict: string) => ({
  voltageMv: 1200,
  low,
  high,
  verdict,
  differenceMhz: 25,
});

describe("recommendationWords(account)", () => {
  it("names the higher setting, and says whether the limits bear it out", () => {
    const differs = compared({ clocks: [clock(10, 60, "differs")] });
    expect(recommendationWords(account("daily", differs))).toBe(
      "For this use Shelf is to run 50 MHz higher, each at its own voltage; at the same voltage, too, it goes further.",
    );
  });

  it("speaks of one use only where both builds are asked for it", () => {
    const differs = compared({ clocks: [clock(10, 60, "differs")] });
    const wordsFor = (use: Account["use"], b?: number) => recommendationWords(account(use, differs, 4600, b));
    expect(wordsFor("aim")).toContain("For what each is after Shelf is to run 50 MHz higher");
    expect(wordsFor("aim", 4600)).toContain("come to the same clock for what each is after, 4600 MHz.");
    expect(wordsFor("daily", 4600)).toContain("come to the same clock for this use, 4600 MHz.");
  });

  it("never claims for one build what the limits say of the other", () => {
    const other = compared({ clocks: [clock(-60, -10, "differs")] });
    const words = recommendationWords(account("daily", other));
    expect(words).toContain("For this use Shelf is to run 50 MHz higher");
    expect(words).toContain("at the same voltage Frame goes further");
    const unsure = compared({ clocks: [clock(-20, 40, "within-scatter")] });
    expect(recommendationWords(account("daily", unsure))).toContain("no difference of their limits is shown");
  });

  it("says nothing of a single build, nor where a setting is missing", () => {
    expect(recommendationWords(account("daily", null))).toBe("");
    const missing = { ...account("daily", compared({})), recommendations: [] };
    expect(recommendationWords(missing)).toBe("");
  });

  it("for quiet goes by loudness, then by heat, then says that neither decides", () => {
    const loud = { measure: "noise", difference: -3, low: -4.2, high: -1.8, verdict: "differs" };
    expect(recommendationWords(account("quiet", compared({ noise: [loud] })))).toBe(
      "For quiet, Shelf: 1.8 to 4.2 dB(A) less under the same condition.",
    );
    const even = { ...loud, low: -4, high: 1, verdict: "within-scatter" };
    const hot = { measure: "loadRise", difference: 5, low: 3, high: 7, verdict: "differs" };
    const cooler = recommendationWords(account("quiet", compared({ noise: [even], heat: [hot] })));
    expect(cooler).toContain("no difference beyond scatter. Frame runs cooler by 3.0 to 7.0 °C");
    const alone = compared({ noise: [loud], heat: [hot] }, () => "within-scatter");
    expect(recommendationWords(account("quiet", alone))).toContain(
      "the record says: differs by itself, and of their heat no difference is shown",
    );
    const further = compared({ clocks: [clock(10, 60, "differs")] }, () => "within-scatter");
    expect(recommendationWords(account("daily", further))).toContain(
      "no difference of their limits is shown",
    );
    expect(recommendationWords(account("quiet", compared({ noise: [even] })))).toContain(
      "does not decide between them",
    );
  });
});
