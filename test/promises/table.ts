/** The promises as rows of a table, printed as they come. */
export class Table {
  missed = 0;

  begin(seed: number): void {
    console.log(`| promise (seed ${seed}) | measured | goal | |\n|---|---|---|---|`);
  }

  /** A figure without a goal. */
  figure(promise: string, measured: string): void {
    console.log(`| ${promise} | ${measured} | | |`);
  }

  promise(promise: string, measured: string, goal: string, met: boolean): void {
    if (!met) this.missed += 1;
    console.log(`| ${promise} | ${measured} | ${goal} | ${met ? "met" : "missed"} |`);
  }
}
