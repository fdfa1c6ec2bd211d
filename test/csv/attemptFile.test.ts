import { expect, it } from "vitest";
import { attemptFileOf } from "../../server/csv/attemptFile.ts";

const fileOf = (lines: number): string =>
  `clock MHz,voltage V,result,lasted min\n${"4600,1.2,ok,15\n".repeat(lines)}`;

it("takes a hundred thousand lines of attempts and not one more", () => {
  expect(attemptFileOf(fileOf(100_000)).lines).toBe(100_000);
  expect(() => attemptFileOf(fileOf(100_001))).toThrow("100,000 lines");
});
