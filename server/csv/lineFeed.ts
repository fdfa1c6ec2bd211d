import { type LogLimits, lineTooLong } from "../bench/logs/logLimits.ts";

/** Cuts buffers into runs of whole lines; what follows the last line end waits for the next buffer. */
export class LineFeed {
  private readonly limits: LogLimits;
  private waiting: Buffer[] = [];
  private waitingBytes = 0;

  constructor(limits: LogLimits) {
    this.limits = limits;
  }

  /** Runs of whole lines, each ending with a line end. `line` is the line last finished, for the refusal of a long one. */
  *lines(bytes: Buffer, line: () => number): Generator<Buffer> {
    const first = bytes.indexOf(10);
    if (first < 0) {
      this.wait(bytes, line());
      return;
    }
    let from = 0;
    if (this.waitingBytes > 0) {
      this.refuseLong(this.waitingBytes + first, line());
      yield Buffer.concat([...this.waiting, bytes.subarray(0, first + 1)]);
      from = first + 1;
      this.waiting = [];
      this.waitingBytes = 0;
    }
    const last = bytes.lastIndexOf(10);
    if (last + 1 > from) {
      const run = bytes.subarray(from, last + 1);
      if (run.length > this.limits.lineBytes) this.refuseLongLineIn(run, line());
      yield run;
    }
    if (last + 1 < bytes.length) this.wait(bytes.subarray(last + 1), line());
  }

  /** What was left without a line end. */
  rest(): Buffer | undefined {
    return this.waitingBytes === 0 ? undefined : Buffer.concat(this.waiting);
  }

  private wait(bytes: Buffer, line: number): void {
    this.waiting.push(Buffer.from(bytes));
    this.waitingBytes += bytes.length;
    this.refuseLong(this.waitingBytes, line);
  }

  private refuseLong(length: number, line: number): void {
    if (length > this.limits.lineBytes) throw lineTooLong(line + 1, this.limits);
  }

  private refuseLongLineIn(run: Buffer, line: number): void {
    let start = 0;
    for (let count = line; start < run.length; count += 1) {
      const end = run.indexOf(10, start);
      this.refuseLong(end - start, count);
      start = end + 1;
    }
  }
}
