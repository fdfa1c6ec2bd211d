import { describe, expect, it } from "vitest";
import { mouldOf } from "../../../server/bench/things/mould.ts";

describe("mouldOf(names, blankOf)", () => {
  const names = ["clockMhz", "note", "tags"] as const;

  it("gives objects of their own with every field, in order, blank at first", () => {
    const blank = mouldOf(names);
    const [one, other] = [blank(), blank()];
    one.clockMhz = 4600;
    expect(Object.entries(one)).toEqual([
      ["clockMhz", 4600],
      ["note", null],
      ["tags", null],
    ]);
    expect(other.clockMhz).toBeNull();
  });

  it("fills in what each field is where nothing was said", () => {
    const usual = { clockMhz: null, note: "", tags: [] };
    expect(mouldOf(names, (name) => usual[name])()).toEqual(usual);
  });
});
