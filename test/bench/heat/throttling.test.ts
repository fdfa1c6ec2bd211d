import { describe, expect, it } from "vitest";
import { heldBackMhz, throttledSpans } from "../../../server/bench/heat/throttling.ts";

/** A run under load from 100 s to 1100 s, at 4700 MHz before 700 s and 100 MHz lower in each of the two stretches after. */
const t = Array.from({ length: 1200 }, (_, second) => second);
const clock = t.map((second) => (second < 700 ? 4700 : second < 900 ? 4600 : 4500));
const loaded = { fromS: 100, toS: 1100 };
const held = (throttled: readonly { fromS: number; toS: number }[], trace: object = { t, clock }) =>
  heldBackMhz(trace as Parameters<typeof heldBackMhz>[0], loaded, throttled);

describe("throttledSpans(trace, loaded, limits)", () => {
  const spans = (values: readonly number[], setClockMhz: number | null = 4700) =>
    throttledSpans({ t, clock: values } as never, loaded, { setClockMhz, tempLimitC: null });
  const dipping = (from: number, to: number, mhz: number) =>
    t.map((second) => (second >= from && second <= to ? mhz : 4700));

  it("tells where the clock lay more than 1 % under the one set, for two seconds or more", () => {
    expect(spans(dipping(300, 302, 4600))).toEqual([{ fromS: 300, toS: 302 }]);
    expect(spans(dipping(300, 301, 4600))).toEqual([]);
    expect(spans(dipping(300, 340, 4660))).toEqual([]);
  });

  it("takes for one what comes again within five seconds, and counts nothing outside the load", () => {
    const twice = dipping(300, 310, 4500).map((mhz, s) => (s >= 315 && s <= 320 ? 4500 : mhz));
    expect(spans(twice)).toEqual([{ fromS: 300, toS: 320 }]);
    expect(spans(dipping(0, 104, 800))).toEqual([]);
    expect(spans(dipping(1100, 1199, 800))).toEqual([]);
  });

  it("asks 3 % under the usual one where none was set", () => {
    expect(spans(dipping(500, 540, 4570), null)).toEqual([]);
    expect(spans(dipping(500, 540, 4550), null)).toEqual([{ fromS: 500, toS: 540 }]);
    // What is usual shows in the first three minutes: held back after one and a half, it stays held back.
    expect(spans(dipping(190, 1099, 4500), null)).toEqual([{ fromS: 190, toS: 1099 }]);
  });
});

describe("throttledSpans(trace, loaded, limits) of power alone", () => {
  const power = t.map((second) => (second < 100 ? 20 : second >= 600 && second <= 700 ? 140 : 160));
  const spansAt = (celsius: number, watts: readonly number[] = power) =>
    throttledSpans({ t, power: watts, temperature: t.map(() => celsius) } as never, loaded, {
      setClockMhz: 4700,
      tempLimitC: 95,
    });

  it("tells where it lay a tenth under the usual while within two degrees of the limit, for three seconds or more", () => {
    expect(spansAt(93)).toEqual([{ fromS: 600, toS: 700 }]);
    expect(spansAt(92.9)).toEqual([]);
    const dipping = (to: number) => t.map((second) => (second >= 600 && second <= to ? 140 : 160));
    expect(spansAt(94, dipping(603))).toEqual([{ fromS: 600, toS: 603 }]);
    expect(spansAt(94, dipping(602))).toEqual([]);
    expect(
      spansAt(
        94,
        power.map((watts) => (watts === 140 ? 145 : watts)),
      ),
    ).toEqual([]);
  });
});

describe("heldBackMhz(trace, loaded, throttled)", () => {
  it("is the mean clock over the last three minutes of being held back", () => {
    expect(held([{ fromS: 700, toS: 1100 }])).toBeCloseTo(4500, 9);
    expect(held([{ fromS: 700, toS: 880 }])).toBeCloseTo(4600, 9);
    expect(held([{ fromS: 600, toS: 790 }])).toBeCloseTo(4650, 0);
  });

  it("says nothing of a run that was held back for less than a twentieth of it", () => {
    expect(held([{ fromS: 700, toS: 749 }])).toBeNull();
    expect(held([{ fromS: 700, toS: 750 }])).toBeCloseTo(4700 - (100 * 50) / 180, -1);
    expect(
      held([
        { fromS: 700, toS: 730 },
        { fromS: 800, toS: 830 },
      ]),
    ).not.toBeNull();
    expect(heldBackMhz({ t, clock } as never, { fromS: 100, toS: 100 }, [])).toBeNull();
  });

  it("says nothing where no clock was logged", () => {
    expect(held([{ fromS: 700, toS: 1100 }], { t })).toBeNull();
  });
});
