/** What a sequential test of a mean time between failures says after so much time and so many failures. */
export type SequentialVerdict = "accept" | "reject" | "go on";

export type SequentialPlan = Readonly<{
  /** The mean time that is wanted, refused with chance alpha, and the one not to be borne, taken with chance beta. */
  wanted: number;
  least: number;
  alpha: number;
  beta: number;
}>;

/** The lines of the test: refused from `rejectAt + slope T` failures on, taken up to `slope T - acceptAt`. Source: A. Wald, Sequential Analysis, 1947. */
export function sequentialLines({ wanted, least, alpha, beta }: SequentialPlan) {
  const apart = Math.log(wanted / least);
  return {
    slope: (1 / least - 1 / wanted) / apart,
    rejectAt: Math.log((1 - beta) / alpha) / apart,
    acceptAt: Math.log((1 - alpha) / beta) / apart,
  };
}

export function sequentialVerdict(plan: SequentialPlan, time: number, failures: number): SequentialVerdict {
  const { slope, rejectAt, acceptAt } = sequentialLines(plan);
  if (failures >= rejectAt + slope * time) return "reject";
  return failures <= slope * time - acceptAt ? "accept" : "go on";
}
