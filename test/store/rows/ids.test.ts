import { describe, expect, it } from "vitest";
import { drawnFrom, msOfId, uuidV7 } from "../../../server/store/rows/ids.ts";

describe("ids", () => {
  it("are laid out as the standard's own example (RFC 9562, appendix A.6)", () => {
    const random = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
    const id = uuidV7(Date.parse("2022-02-22T14:22:22-05:00"), random);
    expect(id).toBe("017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
    expect(msOfId(id)).toBe(1_645_557_742_000);
  });

  it("take chance a thousand bytes at a time, each byte once", () => {
    const asked: number[] = [];
    let next = 0;
    const draw = drawnFrom((count) => {
      asked.push(count);
      return Uint8Array.from({ length: count }, () => next++ % 251);
    });
    const drawn = Array.from({ length: 100 }, () => [...draw(10)]).flat();
    expect(asked).toEqual([1000]);
    expect(drawn).toEqual(Array.from({ length: 1000 }, (_, i) => i % 251));
    expect(draw(10)).toHaveLength(10);
    expect(draw(1500)).toHaveLength(1500);
    expect(asked).toEqual([1000, 1000, 1500]);
  });
});
