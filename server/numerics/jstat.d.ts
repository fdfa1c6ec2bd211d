/** The few functions of jstat that `distributions.ts` uses; the package brings no types. */
declare module "jstat" {
  type Continuous = Readonly<{
    cdf: (value: number, ...parameters: number[]) => number;
    inv: (probability: number, ...parameters: number[]) => number;
    pdf: (value: number, ...parameters: number[]) => number;
  }>;
  const jstat: Readonly<{
    normal: Continuous;
    chisquare: Continuous;
    studentt: Continuous;
    beta: Continuous;
    gammaln: (value: number) => number;
  }>;
  export default jstat;
}
