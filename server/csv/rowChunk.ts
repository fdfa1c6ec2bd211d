/** Rows of a log as columns of numbers; NaN where a reading is missing. The arrays are used again for the next chunk. */
export type RowChunk = Readonly<{
  rows: number;
  t: Float64Array;
  columns: readonly Float64Array[];
  /** The most decimals written in each column so far: a hint for packing. */
  decimals: Uint8Array;
}>;

export const rowsPerChunk = 4096;

export type Remark = Readonly<{ line: number; because: string }>;

const remarksKept = 200;

/** What is told about single lines; after the first few hundred they are only counted. */
export class Remarks {
  private readonly kept: Remark[] = [];
  private further = 0;
  private lastLine = 0;

  add(line: number, because: string): void {
    if (this.kept.length < remarksKept) this.kept.push({ line, because });
    else {
      this.further += 1;
      this.lastLine = line;
    }
  }

  get all(): readonly Remark[] {
    if (this.further === 0) return this.kept;
    const because = `${this.further.toLocaleString("en")} more lines up to this one, for like reasons.`;
    return [...this.kept, { line: this.lastLine, because }];
  }
}
