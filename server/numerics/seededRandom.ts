/** Draws that the same seed always repeats. */
export type SeededRandom = Readonly<{
  /** Uniform in [0, 1), with 32 bits. */
  uniform: () => number;
  uniformIn: (low: number, high: number) => number;
  /** A whole number from 0 up to, not including, `count`. */
  index: (count: number) => number;
  /** Standard normal. */
  normal: () => number;
  /** Exponential with mean 1. */
  exponential: () => number;
}>;

/**
 * A generator of pseudo-random numbers for the seed given; any finite number is a seed.
 * Method: small fast counter generator with 128 bits of state (sfc32, C. Doty-Humphrey, PractRand, public domain),
 * warmed up 15 rounds; normals by the polar method (G. Marsaglia and T. Bray, SIAM Review 6, 1964).
 */
export function seededRandom(seed: number): SeededRandom {
  const uniform = smallFastCounter(seed);
  let spare: number | undefined;
  const normal = (): number => {
    if (spare !== undefined) {
      const kept = spare;
      spare = undefined;
      return kept;
    }
    const [first, second] = polarPair(uniform);
    spare = second;
    return first;
  };
  return {
    uniform,
    uniformIn: (low, high) => low + (high - low) * uniform(),
    index: (count) => Math.floor(uniform() * count),
    normal,
    exponential: () => -Math.log(1 - uniform()),
  };
}

function smallFastCounter(seed: number): () => number {
  let a = 0x9e3779b9 ^ seed;
  let b = 0x243f6a88 ^ Math.floor(seed / 2 ** 32);
  let c = 0xb7e15162;
  let counter = 1;
  const uniform = (): number => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + sum) | 0;
    return (sum >>> 0) / 2 ** 32;
  };
  for (let round = 0; round < 15; round++) uniform();
  return uniform;
}

function polarPair(uniform: () => number): [number, number] {
  for (;;) {
    const x = 2 * uniform() - 1;
    const y = 2 * uniform() - 1;
    const square = x * x + y * y;
    if (square > 0 && square < 1) {
      const stretch = Math.sqrt((-2 * Math.log(square)) / square);
      return [x * stretch, y * stretch];
    }
  }
}
