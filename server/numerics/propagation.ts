export type UncertainInput = Readonly<{ estimate: number; standard: number }>;

export type Propagated = Readonly<{ value: number; firstOrder: number; secondOrder: number }>;

/**
 * The standard uncertainty of a figure worked out from independent inputs, by first-order terms and with the second-order
 * ones that matter where an input's estimate is zero. Method: JCGM 100:2008 (GUM) 5.1.2 with its note, derivatives by
 * central differences a standard uncertainty wide (exact for sums and products). Cost: the figure four times a pair.
 */
export function propagated(
  figure: (inputs: readonly number[]) => number,
  inputs: readonly UncertainInput[],
): Propagated {
  const estimates = inputs.map(({ estimate }) => estimate);
  const at = (moves: readonly (readonly [number, number])[]): number => {
    const moved = [...estimates];
    for (const [i, by] of moves) moved[i]! += by * inputs[i]!.standard;
    return figure(moved);
  };
  let first = 0;
  let second = 0;
  for (let i = 0; i < inputs.length; i++) {
    first += ((at([[i, 1]]) - at([[i, -1]])) / 2) ** 2;
    for (let j = 0; j < inputs.length; j++) {
      const mixed =
        i === j
          ? at([[i, 1]]) - 2 * at([]) + at([[i, -1]])
          : (at([
              [i, 1],
              [j, 1],
            ]) -
              at([
                [i, 1],
                [j, -1],
              ]) -
              at([
                [i, -1],
                [j, 1],
              ]) +
              at([
                [i, -1],
                [j, -1],
              ])) /
            4;
      second += mixed ** 2 / 2;
    }
  }
  return { value: at([]), firstOrder: Math.sqrt(first), secondOrder: Math.sqrt(first + second) };
}
