export type Vector = Readonly<ArrayLike<number>>;
export type Matrix = readonly Vector[];

/**
 * The lower triangle L with L Lᵀ = the matrix given; undefined where it is not positive definite. Reads the lower
 * triangle only. Source: textbook (Golub and Van Loan, Matrix Computations, 4.2), backward stable: L Lᵀ gives the matrix
 * back to some rounding errors. Cost: cubic in the size.
 */
export function choleskyOf(matrix: Matrix): Float64Array[] | undefined {
  const size = matrix.length;
  const lower = matrix.map(() => new Float64Array(size));
  for (let i = 0; i < size; i++) {
    const row = lower[i]!;
    for (let j = 0; j <= i; j++) {
      const above = lower[j]!;
      let sum = matrix[i]![j]!;
      for (let k = 0; k < j; k++) sum -= row[k]! * above[k]!;
      if (i > j) row[j] = sum / above[j]!;
      else if (sum > 1e-14 * Math.abs(matrix[i]![i]!) && sum < Infinity) row[i] = Math.sqrt(sum);
      else return undefined;
    }
  }
  return lower;
}

/** The y with L y = right, by forward substitution: textbook, backward stable. Cost: the size squared. */
export function forwardSolution(lower: Matrix, right: Vector): Float64Array {
  const solution = new Float64Array(lower.length);
  for (let i = 0; i < lower.length; i++) {
    const row = lower[i]!;
    let sum = right[i]!;
    for (let k = 0; k < i; k++) sum -= row[k]! * solution[k]!;
    solution[i] = sum / row[i]!;
  }
  return solution;
}

/** The x with L Lᵀ x = right, by substitution forward and back: as accurate as the matrix is well conditioned. */
export function choleskySolution(lower: Matrix, right: Vector): Float64Array {
  const solution = forwardSolution(lower, right);
  for (let i = lower.length - 1; i >= 0; i--) {
    let sum = solution[i]!;
    for (let k = i + 1; k < lower.length; k++) sum -= lower[k]![i]! * solution[k]!;
    solution[i] = sum / lower[i]![i]!;
  }
  return solution;
}

/** The inverse of the matrix whose Cholesky factor is given, column by column; as accurate as `choleskySolution`. */
export function inverseFromCholesky(lower: Matrix): Float64Array[] {
  return lower.map((_, column) => {
    const unit = new Float64Array(lower.length);
    unit[column] = 1;
    return choleskySolution(lower, unit);
  });
}
