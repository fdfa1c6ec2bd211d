/** A curve with its derivatives by each parameter. */
export type Curve = Readonly<{
  value: (x: number, parameters: Float64Array) => number;
  /** Writes the derivative by each parameter into `into`. */
  slopes: (x: number, parameters: Float64Array, into: Float64Array) => void;
}>;

export type CurveFit = Readonly<{
  parameters: Float64Array;
  /** Standard deviation of each parameter, for scatter that is independent and alike; undefined without spare points. */
  deviations: Float64Array | undefined;
  residualSum: number;
  residualDeviation: number | undefined;
}>;

const usualSteps = 3000;

/**
 * The least-squares fit of a curve from one starting point; undefined where there are fewer points than parameters or the
 * start gives no finite values. Method: Levenberg and Marquardt with Marquardt's scaling, each step solved by Householder
 * reflections, so that ill-conditioned sums of exponentials keep their digits; ends after `mostSteps` at the latest. A fit
 * that ends where a parameter has lost its hold begins anew with shorter steps. Cost: points times parameters squared, a step.
 */
export function curveFit(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  start: readonly number[],
  mostSteps = usualSteps,
): CurveFit | undefined {
  if (x.length < start.length) return undefined;
  let best: Ended | undefined;
  for (const damping of firstDampings) {
    const ended = dampedFit(curve, x, y, start, damping, mostSteps);
    if (ended === undefined) return undefined;
    if (best === undefined || ended.sum < best.sum) best = ended;
    if (!ended.isAstray) break;
  }
  return best && fitAt(curve, x, y, best.parameters, best.sum);
}

/** The first step is damped so much; where it leads astray, the fit begins anew with shorter steps. */
const firstDampings = [1, 1e2, 1e4];

/** Where a fit came to an end, and whether a parameter moves nothing there any more that once did. */
type Ended = Readonly<{ parameters: Float64Array; sum: number; isAstray: boolean }>;

function dampedFit(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  start: readonly number[],
  firstDamping: number,
  mostSteps: number,
): Ended | undefined {
  let parameters = Float64Array.from(start);
  let sum = residualSum(curve, x, y, parameters);
  if (!Number.isFinite(sum)) return undefined;
  let damping = firstDamping;
  let flat = 0;
  const scale = new Float64Array(start.length);
  for (let step = 0; step < mostSteps && damping < 1e20; step += 1) {
    const system = linearised(curve, x, y, parameters);
    raiseScale(scale, system);
    const move = dampedStep(system, scale, damping);
    if (move === undefined) break;
    const next = parameters.map((value, at) => value + (move[at] as number));
    const nextSum = residualSum(curve, x, y, next);
    const isStill = next.every(
      (value, at) => Math.abs(value - (parameters[at] as number)) <= 1e-11 * Math.abs(value),
    );
    if (nextSum <= sum) {
      flat = sum - nextSum <= 1e-13 * sum ? flat + 1 : 0;
      parameters = next;
      sum = nextSum;
      damping = Math.max(damping * 0.2, 1e-18);
    } else damping *= 4;
    if (isStill || flat > 3) break;
  }
  return { parameters, sum, isAstray: hasLostHold(curve, x, y, parameters, scale) };
}

const lostShare = 1e-6;

/** A derivative that has shrunk to nothing beside what it was: the fit ran out onto a plain, where nothing leads back. */
function hasLostHold(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  parameters: Float64Array,
  scale: Float64Array,
): boolean {
  return lengthsOf(linearised(curve, x, y, parameters)).some(
    (length, k) => length < lostShare * (scale[k] as number),
  );
}

function residualSum(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  parameters: Float64Array,
): number {
  let sum = 0;
  for (let i = 0; i < x.length; i += 1) {
    const residual = (y[i] as number) - curve.value(x[i] as number, parameters);
    sum += residual * residual;
  }
  return sum;
}

/** The columns of the derivatives, and the residuals as the last column. */
type System = Readonly<{ columns: readonly Float64Array[]; residuals: Float64Array }>;

function linearised(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  parameters: Float64Array,
): System {
  const count = parameters.length;
  const columns = Array.from({ length: count }, () => new Float64Array(x.length + count));
  const residuals = new Float64Array(x.length + count);
  const slopes = new Float64Array(count);
  for (let i = 0; i < x.length; i += 1) {
    const at = x[i] as number;
    residuals[i] = (y[i] as number) - curve.value(at, parameters);
    curve.slopes(at, parameters, slopes);
    for (let k = 0; k < count; k += 1) (columns[k] as Float64Array)[i] = slopes[k] as number;
  }
  return { columns, residuals };
}

/** The greatest length each column has had: the steps do not then depend on the units of the parameters. */
function raiseScale(scale: Float64Array, system: System): void {
  for (const [k, length] of lengthsOf(system).entries()) scale[k] = Math.max(scale[k] as number, length || 1);
}

const lengthsOf = ({ columns }: System): number[] =>
  columns.map((column) => Math.sqrt(column.reduce((sum, value) => sum + value * value, 0)));

function dampedStep(system: System, scale: Float64Array, damping: number): Float64Array | undefined {
  const count = system.columns.length;
  const points = system.residuals.length - count;
  const columns = system.columns.map((column, k) => {
    const copy = column.slice();
    copy[points + k] = Math.sqrt(damping) * (scale[k] as number);
    return copy;
  });
  const right = system.residuals.slice();
  const triangle = reflected(columns, right);
  return triangle === undefined ? undefined : backSolved(triangle, right);
}

/** Householder's reflections, in place on both; gives the upper triangle by columns, or undefined where one is not finite. */
function reflected(columns: Float64Array[], right: Float64Array): Float64Array[] | undefined {
  const count = columns.length;
  for (let k = 0; k < count; k += 1) {
    const column = columns[k] as Float64Array;
    let length = 0;
    for (let i = k; i < column.length; i += 1) length += (column[i] as number) ** 2;
    length = Math.sqrt(length);
    if (!(length > 0) || !Number.isFinite(length)) return undefined;
    const head = (column[k] as number) > 0 ? -length : length;
    const mirror = column.slice(k);
    mirror[0] = (mirror[0] as number) - head;
    let square = 0;
    for (const value of mirror) square += value * value;
    for (const other of [...columns.slice(k), right]) {
      let product = 0;
      for (let i = 0; i < mirror.length; i += 1) product += (mirror[i] as number) * (other[k + i] as number);
      const twice = (2 * product) / square;
      for (let i = 0; i < mirror.length; i += 1)
        other[k + i] = (other[k + i] as number) - twice * (mirror[i] as number);
    }
    column[k] = head;
  }
  return columns;
}

function backSolved(triangle: readonly Float64Array[], right: Float64Array): Float64Array {
  const count = triangle.length;
  const solution = new Float64Array(count);
  for (let k = count - 1; k >= 0; k -= 1) {
    let sum = right[k] as number;
    for (let j = k + 1; j < count; j += 1) sum -= (triangle[j]?.[k] as number) * (solution[j] as number);
    solution[k] = sum / (triangle[k]?.[k] as number);
  }
  return solution;
}

function fitAt(
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  parameters: Float64Array,
  sum: number,
): CurveFit {
  const spare = x.length - parameters.length;
  if (spare <= 0)
    return { parameters, deviations: undefined, residualSum: sum, residualDeviation: undefined };
  const residualDeviation = Math.sqrt(sum / spare);
  const { columns, residuals } = linearised(curve, x, y, parameters);
  const triangle = reflected([...columns], residuals);
  const deviations = triangle === undefined ? undefined : deviationsOf(triangle, residualDeviation);
  return { parameters, deviations, residualSum: sum, residualDeviation };
}

/** The lengths of the rows of the triangle's inverse. */
function deviationsOf(triangle: readonly Float64Array[], residualDeviation: number): Float64Array {
  const count = triangle.length;
  const squares = new Float64Array(count);
  for (let column = 0; column < count; column += 1) {
    const unit = new Float64Array(count);
    unit[column] = 1;
    backSolved(triangle, unit).forEach((value, k) => {
      squares[k] = (squares[k] as number) + value * value;
    });
  }
  return squares.map((square) => residualDeviation * Math.sqrt(square));
}
