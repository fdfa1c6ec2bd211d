import { describe, expect, it } from "vitest";
import { readBackOf, type SettingRead } from "../../../server/bench/runs/settingRead.ts";

const at = (clockMhz: number | null, voltageMv: number | null = null): SettingRead => ({
  clockMhz,
  voltageMv,
});
const says = (
  asked: SettingRead,
  read: SettingRead,
  others: readonly SettingRead[],
  droopMv: number | null = null,
) => readBackOf({ asked, read, others, droopMv }).says;

describe("what the machine reads of its setting", () => {
  const stock = at(4000, 1150);

  it("confirms it where it tells it from the last one and from the defaults", () => {
    expect(says(at(4600, 1200), at(4598), [stock, at(4575, 1200)])).toBe("confirmed");
    // A base clock that wanders by 14 MHz cannot tell two neighbours.
    expect(says(at(4600, 1200), at(4586), [stock, at(4575, 1200)])).toBe("cannot-tell");
    expect(says(at(4600, 1200), at(4598), [stock, at(4500, 1200)])).toBe("confirmed");
    expect(says(at(4600, 1200), at(4500), [stock, at(4500, 1200)])).toBe("differs");
    expect(says(at(4600, 1200), at(4000), [stock])).toBe("differs");
  });

  it("tells a voltage only where its droop is known", () => {
    const last = at(4600, 1250);
    expect(says(at(4600, 1200), at(4600, 1150), [stock, last])).toBe("cannot-tell");
    expect(says(at(4600, 1200), at(4600, 1155), [stock, last], 45)).toBe("confirmed");
    expect(says(at(4600, 1200), at(4600, 1205), [stock, last], 45)).toBe("differs");
  });

  it("says that it cannot tell where nothing is read, or another setting reads the same", () => {
    expect(says(at(4600, 1200), at(null), [stock])).toBe("cannot-tell");
    expect(says(at(4000, 1100), at(4000), [stock])).toBe("cannot-tell");
  });
});
