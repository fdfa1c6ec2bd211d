import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openChromium } from "../support/chromium.ts";
import { failings } from "./judged.ts";
import { type Soaked, soaked } from "./soaked.ts";

/** The short form of `npm run soak`, on a machine that may be at much else: what is lost shows, what is slow hardly. */
const leeway = { quickMs: 10_000, busyMs: 8_000 };

describe("An evening's capture with two devices in use, in short", () => {
  let browser: Browser | null = null;
  let soak: Soaked;
  beforeAll(async () => {
    browser = process.env.JOURNEYS === "none" ? null : await openChromium();
    soak = await soaked({ minutes: 0.5, browser, browsers: 1, rounds: 1 });
  }, 240_000);
  afterAll(async () => browser?.close());

  it("loses no sample, misses no event, grows by no more than 20 MB and keeps its pages", () => {
    expect(soak.captured.rows).toBeGreaterThanOrEqual(290);
    expect(soak.written).toBeGreaterThan(3);
    expect(failings(soak, leeway)).toEqual([]);
  });

  it("would not do with one sample lost, one event missed, 21 MB more or a page of seconds", () => {
    const known = failings(soak, leeway);
    const wrong = (change: Partial<Soaked>) =>
      failings({ ...soak, ...change }, leeway).filter((sentence) => !known.includes(sentence));
    const [heard, other] = soak.hearings;
    const [first, ...rest] = soak.memory;
    expect(wrong({ samplesLost: 1 })).toHaveLength(1);
    expect(wrong({ captured: { ...soak.captured, kept: soak.captured.kept - 1 } })).toHaveLength(1);
    expect(wrong({ hearings: [{ ...heard!, missed: 1 }, other!] })).toHaveLength(1);
    expect(wrong({ hearings: [{ ...heard!, showsLast: false }, other!] })).toHaveLength(1);
    const grown = { ...first!, ownBytes: first!.ownBytes + 21_000_000 };
    expect(wrong({ memory: [first!, ...rest, grown] })).toHaveLength(1);
    const slow = { before: [50, 60], during: [12_500, 12_600], after: [70, 80] };
    expect(wrong({ pages: new Map([["/", slow]]) })).toEqual(["/ took 12500 ms, at rest 70."]);
  });
});
