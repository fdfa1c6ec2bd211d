import { leftOut, lineScanner, timeSlot } from "./lineScanner.ts";
import { cellsOf } from "./logCells.ts";
import { flagIn, numberIn } from "./logNumber.ts";
import { fits, type LogShape } from "./logShape.ts";
import { clockSeconds, instantSeconds, Timeline } from "./logTime.ts";
import { Remarks, type RowChunk, rowsPerChunk } from "./rowChunk.ts";
import type { RowPlan } from "./rowPlan.ts";

/** Reads lines into rows: plain ones byte by byte, the rest with tolerance. Both ways give the same rows. */
export class RowReader {
  readonly skipped = new Remarks();
  readonly adjusted = new Remarks();
  /** The line last read, counted from 1. */
  line: number;
  rows = 0;
  private readonly shape: LogShape;
  private readonly plan: RowPlan;
  private readonly textOf: (bytes: Buffer) => string;
  private readonly timeline: Timeline;
  private readonly t = new Float64Array(rowsPerChunk);
  private readonly columns: readonly Float64Array[];
  private readonly decimals: Uint8Array;
  private readonly scanner: ReturnType<typeof lineScanner>;
  private readonly tolerantOnly: boolean;

  constructor(shape: LogShape, plan: RowPlan, textOf: (bytes: Buffer) => string, tolerantOnly = false) {
    this.shape = shape;
    this.plan = plan;
    this.textOf = textOf;
    this.tolerantOnly = tolerantOnly;
    this.line = shape.headerAt;
    this.timeline = new Timeline(plan.wraps);
    this.columns = plan.readings.map(() => new Float64Array(rowsPerChunk));
    this.decimals = new Uint8Array(plan.readings.length);
    const slots = new Int32Array(shape.names.length).fill(leftOut);
    plan.readings.forEach(({ at }, slot) => {
      slots[at] = slot;
    });
    slots[plan.timeAt] = timeSlot;
    this.scanner = lineScanner(
      { ...shape, timeWriting: plan.timeWriting, slots },
      this.columns,
      this.decimals,
    );
  }

  get full(): boolean {
    return this.rows === rowsPerChunk;
  }

  /** When the first row was taken, in the seconds of the log's own time. */
  get startedAtSeconds(): number | undefined {
    return this.timeline.start;
  }

  /** Reads whole lines, each with its line end, until they are all read or the chunk is full; gives where it stopped. */
  read(bytes: Buffer, from: number, to: number): number {
    let at = from;
    while (at < to && this.rows < rowsPerChunk) {
      this.line += 1;
      const next = this.tolerantOnly ? -1 : this.scanner.scan(bytes, at, this.rows);
      if (next > 0) {
        this.admit(this.scanner.written() * this.plan.secondsPerUnit);
        at = next;
      } else {
        const end = bytes.indexOf(10, at);
        this.readTolerantly(this.textOf(bytes.subarray(at, end)), false);
        at = end + 1;
      }
    }
    return at;
  }

  /** The last line, where it has no line end: kept when it is complete. */
  readLast(bytes: Buffer): void {
    this.line += 1;
    this.readTolerantly(this.textOf(bytes), true);
  }

  /** The rows read so far, in the units that are kept; the next rows start a new chunk. */
  take(): RowChunk {
    const { rows } = this;
    this.plan.readings.forEach(({ factor, shift }, slot) => {
      const column = this.columns[slot];
      if ((factor === 1 && shift === 0) || column === undefined) return;
      this.decimals[slot] = 0;
      for (let row = 0; row < rows; row += 1)
        column[row] = Math.round(((column[row] ?? Number.NaN) + shift) * factor * 1e6) / 1e6;
    });
    this.rows = 0;
    return { rows, t: this.t, columns: this.columns, decimals: this.decimals };
  }

  private admit(written: number): void {
    const plain = this.timeline.plain(written);
    if (!Number.isNaN(plain)) {
      this.t[this.rows] = plain;
      this.rows += 1;
      return;
    }
    const placed = this.timeline.place(written);
    if (placed.t === undefined) {
      this.skipped.add(this.line, placed.because);
      return;
    }
    if (placed.adjusted !== null) this.adjusted.add(this.line, placed.adjusted);
    this.t[this.rows] = placed.t;
    this.rows += 1;
  }

  private readTolerantly(text: string, last: boolean): void {
    const line = text.endsWith("\r") ? text.slice(0, -1) : text;
    if (line.trim() === "") return;
    const flaw = this.flawOf(line, last);
    if (flaw !== undefined) {
      this.skipped.add(this.line, flaw);
      return;
    }
    const cells = cellsOf(line, this.shape.separator) ?? [];
    this.plan.readings.forEach(({ at, isFlag }, slot) => {
      const column = this.columns[slot];
      if (column !== undefined) column[this.rows] = this.valueOf(cells[at] ?? "", isFlag);
    });
    this.admit(this.secondsOf(cells[this.plan.timeAt] ?? "") * this.plan.secondsPerUnit);
  }

  private flawOf(line: string, last: boolean): string | undefined {
    if (line === this.shape.headerLine.replace(/\r$/, "")) return "It repeats the header.";
    const cells = cellsOf(line, this.shape.separator);
    const width = this.shape.names.length;
    if (cells === undefined) return last ? "It is torn off." : "A quote is left open.";
    if (cells.length < width && last) return "It is torn off.";
    if (fits(cells, width)) return undefined;
    return `It has ${cells.length} ${cells.length === 1 ? "cell" : "cells"} where the header has ${width}.`;
  }

  private valueOf(cell: string, isFlag: boolean): number {
    const value = numberIn(cell, this.shape.decimal);
    return isFlag && Number.isNaN(value) ? flagIn(cell) : value;
  }

  private secondsOf(cell: string): number {
    if (this.plan.timeWriting === "number") return numberIn(cell, this.shape.decimal);
    if (this.plan.timeWriting === "clock") return clockSeconds(cell) ?? Number.NaN;
    return instantSeconds(cell)?.seconds ?? Number.NaN;
  }
}
