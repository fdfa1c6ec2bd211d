/** What an attempt costs besides its run, in minutes. */
export type BenchCosts = Readonly<{
  setupMinutes: number;
  /** To come back after a crash. */
  crashMinutes: number;
  noStartMinutes: number;
  /** How many minutes of bench time a crash is worth avoiding, besides the time it costs. */
  aversionMinutes: number;
}>;

/** Common practice, until the journal's own gaps between attempts say better. */
export const usualBenchCosts: BenchCosts = {
  setupMinutes: 2,
  crashMinutes: 4,
  noStartMinutes: 6,
  aversionMinutes: 15,
};
