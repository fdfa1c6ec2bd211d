import { describe, expect, it } from "vitest";
import { choleskyOf, choleskySolution, inverseFromCholesky } from "../../server/numerics/cholesky.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";

const randomPositive = (size: number, seed: number): number[][] => {
  const { normal } = seededRandom(seed);
  const half = Array.from({ length: size }, () => Array.from({ length: size }, normal));
  return half.map((row, i) =>
    half.map((other, j) => row.reduce((sum, value, k) => sum + value * other[k]!, i === j ? 0.1 : 0)),
  );
};

describe("choleskyOf", () => {
  it("gives a factor whose square is the matrix, and solves with it", () => {
    for (const size of [1, 2, 5, 9]) {
      const matrix = randomPositive(size, size);
      const lower = choleskyOf(matrix)!;
      matrix.forEach((row, i) => {
        row.forEach((value, j) => {
          expect(lower[i]!.reduce((sum, part, k) => sum + part * lower[j]![k]!, 0)).toBeCloseTo(value, 10);
        });
      });
      const right = matrix.map((_, i) => i - 1);
      const solution = choleskySolution(lower, right);
      matrix.forEach((row, i) => {
        expect(row.reduce((sum, value, k) => sum + value * solution[k]!, 0)).toBeCloseTo(right[i]!, 8);
      });
      expect(inverseFromCholesky(lower)[0]![0]).toBeGreaterThan(0);
    }
  });

  it("is undefined for what is not positive definite", () => {
    expect(
      choleskyOf([
        [1, 2],
        [2, 1],
      ]),
    ).toBeUndefined();
    expect(choleskyOf([[0]])).toBeUndefined();
    expect(choleskyOf([[Number.NaN]])).toBeUndefined();
    expect(
      choleskyOf([
        [1, 1],
        [1, 1],
      ]),
    ).toBeUndefined();
  });
});
