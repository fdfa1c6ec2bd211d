import { describe, expect, it } from "vitest";
import { type Curve, curveFit } from "../../server/numerics/leastSquares.ts";
import reference from "../reference/nonlinearFits.json" with { type: "json" };

/** A sum of amplitude times exp(-rate x), after an optional offset; `places` says where each parameter stands. */
const exponentials = (offset: number | undefined, places: readonly (readonly [number, number])[]): Curve => ({
  value: (x, b) =>
    places.reduce((sum, [a, r]) => sum + b[a]! * Math.exp(-x * b[r]!), offset === undefined ? 0 : b[offset]!),
  slopes(x, b, into) {
    if (offset !== undefined) into[offset] = 1;
    for (const [a, r] of places) {
      into[a] = Math.exp(-x * b[r]!);
      into[r] = -x * b[a]! * Math.exp(-x * b[r]!);
    }
  },
});

const curves: Readonly<Record<string, Curve>> = {
  misra1a: {
    value: (x, b) => b[0]! * -Math.expm1(-b[1]! * x),
    slopes(x, b, into) {
      into[0] = -Math.expm1(-b[1]! * x);
      into[1] = b[0]! * x * Math.exp(-b[1]! * x);
    },
  },
  boxbod: {
    value: (x, b) => b[0]! * -Math.expm1(-b[1]! * x),
    slopes(x, b, into) {
      into[0] = -Math.expm1(-b[1]! * x);
      into[1] = b[0]! * x * Math.exp(-b[1]! * x);
    },
  },
  mgh09: {
    value: (x, b) => (b[0]! * (x * x + x * b[1]!)) / (x * x + x * b[2]! + b[3]!),
    slopes(x, b, into) {
      const below = x * x + x * b[2]! + b[3]!;
      const above = b[0]! * (x * x + x * b[1]!);
      into[0] = (x * x + x * b[1]!) / below;
      into[1] = (b[0]! * x) / below;
      into[2] = (-above * x) / below ** 2;
      into[3] = -above / below ** 2;
    },
  },
  rat42: {
    value: (x, b) => b[0]! / (1 + Math.exp(b[1]! - b[2]! * x)),
    slopes(x, b, into) {
      const growth = Math.exp(b[1]! - b[2]! * x);
      into[0] = 1 / (1 + growth);
      into[1] = (-b[0]! * growth) / (1 + growth) ** 2;
      into[2] = (b[0]! * growth * x) / (1 + growth) ** 2;
    },
  },
  rat43: {
    value: (x, b) => b[0]! * (1 + Math.exp(b[1]! - b[2]! * x)) ** (-1 / b[3]!),
    slopes(x, b, into) {
      const growth = Math.exp(b[1]! - b[2]! * x);
      const share = (1 + growth) ** (-1 / b[3]!);
      into[0] = share;
      into[1] = (-b[0]! * share * growth) / (b[3]! * (1 + growth));
      into[2] = (b[0]! * share * growth * x) / (b[3]! * (1 + growth));
      into[3] = (b[0]! * share * Math.log1p(growth)) / b[3]! ** 2;
    },
  },
  eckerle4: {
    value: (x, b) => (b[0]! / b[1]!) * Math.exp(-0.5 * ((x - b[2]!) / b[1]!) ** 2),
    slopes(x, b, into) {
      const off = (x - b[2]!) / b[1]!;
      const bell = Math.exp(-0.5 * off * off) / b[1]!;
      into[0] = bell;
      into[1] = (b[0]! * bell * (off * off - 1)) / b[1]!;
      into[2] = (b[0]! * bell * off) / b[1]!;
    },
  },
  lanczos3: exponentials(undefined, [
    [0, 1],
    [2, 3],
    [4, 5],
  ]),
  mgh17: exponentials(0, [
    [1, 3],
    [2, 4],
  ]),
};

type Certified = {
  b?: number[];
  b1?: number;
  b2?: number;
  sd?: number[];
  sd_b1?: number;
  sd_b2?: number;
  rss: number;
};

/** Sums of exponentials may come out in any order: the parts are sorted by rate. */
function sorted(id: string, values: readonly number[], rates: readonly number[]): number[] {
  const pairs =
    id === "lanczos3"
      ? [
          [0, 1],
          [2, 3],
          [4, 5],
        ]
      : id === "mgh17"
        ? [
            [1, 3],
            [2, 4],
          ]
        : [];
  if (pairs.length === 0) return [...values];
  const parts = pairs.map(([a, r]) => ({ rate: rates[r!]!, own: [values[a!]!, values[r!]!] }));
  parts.sort((one, other) => one.rate - other.rate);
  return [...(id === "mgh17" ? [values[0]!] : []), ...parts.flatMap((part) => part.own)];
}

describe("curveFit", () => {
  for (const { id, source, inputs, expected, tolerance } of reference.nonlinear) {
    for (const [at, start] of inputs.starts.entries()) {
      it(`gives the certified figures of ${source.title} from start ${at + 1}`, () => {
        const certified = expected as Certified;
        const b = certified.b ?? [certified.b1!, certified.b2!];
        const sd = certified.sd ?? [certified.sd_b1!, certified.sd_b2!];
        const fit = curveFit(curves[id]!, inputs.x, inputs.y, start);
        const found = sorted(id, [...fit!.parameters], [...fit!.parameters]);
        sorted(id, b, b).forEach((value, k) => {
          expect(Math.abs(found[k]! / value - 1)).toBeLessThan(tolerance.relative_parameters);
        });
        const deviations = sorted(id, [...fit!.deviations!], [...fit!.parameters]);
        sorted(id, sd, b).forEach((value, k) => {
          expect(Math.abs(deviations[k]! / value - 1)).toBeLessThan(tolerance.relative_sd);
        });
        expect(Math.abs(fit!.residualSum / certified.rss - 1)).toBeLessThan(1e-5);
      });
    }
  }

  it("has no answer with fewer points than parameters, or from a start that is not finite", () => {
    expect(curveFit(curves.misra1a!, [1], [2], [250, 5e-4])).toBeUndefined();
    expect(curveFit(curves.misra1a!, [1, 2, 3], [2, 3, 4], [Number.NaN, 5e-4])).toBeUndefined();
  });
});
