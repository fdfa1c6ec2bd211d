import { describe, expect, it } from "vitest";
import { ambientCourseOf } from "../../../server/bench/heat/ambientCourse.ts";

const t = Array.from({ length: 1201 }, (_, second) => second);
const window = { fromS: 900, toS: 1200 };
const course = (roomAt: (second: number) => number, slowS = 300) =>
  ambientCourseOf({ t, temperature: t.map(() => 70), ambient: t.map(roomAt) }, window, slowS);

describe("the room as the chip feels it", () => {
  it("leaves out what no room can read, as a sensor that fails does", () => {
    for (const failed of [-127, 85, 150, Number.NaN]) {
      const { windowC, excessAt } = course((second) => (second % 50 === 7 ? failed : 22))!;
      expect([windowC, excessAt(107), excessAt(1100)], `${failed}`).toEqual([22, 0, 0]);
    }
  });

  it("follows a change of the room as slowly as the heatsink does", () => {
    const { windowC, excessAt } = course((second) => (second < 300 ? 20 : 24))!;
    expect(excessAt(100) + windowC).toBeCloseTo(20, 9);
    // One time of the heatsink after the step it has felt all but a part in e of it.
    expect(excessAt(599) + windowC).toBeCloseTo(24 - 4 / Math.E, 6);
    expect(excessAt(1e6) + windowC).toBeLessThan(24);
  });

  it("is not known without a channel of it, or from a single reading", () => {
    expect(ambientCourseOf({ t, temperature: t.map(() => 70) }, window, 300)).toBeUndefined();
    expect(course((second) => (second === 5 ? 22 : Number.NaN))).toBeUndefined();
  });
});
