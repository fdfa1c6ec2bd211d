import { describe, expect, it } from "vitest";
import { cursorOf, positionOf } from "../../../server/store/rows/cursor.ts";

const written = (value: unknown): string => Buffer.from(JSON.stringify(value)).toString("base64url");

describe("positionOf(cursor, like)", () => {
  it("gives back what a cursor was made of, a number or a word before the id", () => {
    for (const [last, like] of [
      [{ order: 17, id: "a" }, 0],
      [{ order: "Tern 8", id: "b" }, ""],
    ] as const)
      expect(positionOf<string | number>(cursorOf(last), like)).toEqual(last);
  });

  it.each([
    ["an order of another kind", written(["17", "a"])],
    ["an id that is none", written([17, 4])],
    ["a part too many", written([17, "a", "b"])],
    ["a part too few", written([17])],
    ["no list", written("17")],
    ["a word as long as a list", written("1a")],
    ["no JSON", "not JSON"],
    ["nothing", ""],
  ])("refuses %s", (_, cursor) => {
    expect(() => positionOf(cursor, 0)).toThrow("Begin again without it");
  });
});
