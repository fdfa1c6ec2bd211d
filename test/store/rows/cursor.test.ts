import { describe, expect, it } from "vitest";
import { cursorOf, positionOf } from "../../../server/store/rows/cursor.ts";

const written = (value: unknown): string => Buffer.from(JSON.stringify(value)).toString("base64url");

describe("positionOf(cursor, like)", () => {
  it("gives back what a cursor was made of, a number or a word before the id", () => {
    expect(positionOf(cursorOf({ order: 17, id: "a" }), 0)).toEqual({ order: 17, id: "a" });
    expect(positionOf(cursorOf({ order: "Tern 8", id: "b" }), "")).toEqual({ order: "Tern 8", id: "b" });
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
