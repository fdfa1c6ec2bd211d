import { conversionOf, unitSpelled } from "../bench/logs/channel.ts";
import { type LineCells, lineCellsOf } from "./lineCells.ts";
import { leftOut, lineScanner, timeSlot } from "./lineScanner.ts";
import { flagIn, numberIn, unitIn } from "./logNumber.ts";
import { fits, type LogShape } from "./logShape.ts";
import { clockSeconds, instantSeconds, minuteSeconds, Timeline } from "./logTime.ts";
import { Remarks, type RowChunk, rowsPerChunk } from "./rowChunk.ts";
import type { ReadingColumn, RowPlan } from "./rowPlan.ts";
import { writtenMoment } from "./writtenMoment.ts";

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
  private readonly cellsOf: LineCells;
  private counted = 0;

  constructor(shape: LogShape, plan: RowPlan, textOf: (bytes: Buffer) => string, tolerantOnly = false) {
    this.shape = shape;
    this.plan = plan;
    this.textOf = textOf;
    this.tolerantOnly = tolerantOnly || shape.separator === " " || shape.separator === "json";
    this.cellsOf = lineCellsOf(shape.separator, shape.names);
    this.line = shape.headerAt;
    this.timeline = new Timeline(plan.wraps);
    this.columns = plan.readings.map(() => new Float64Array(rowsPerChunk));
    this.decimals = new Uint8Array(plan.readings.length);
    const slots = new Int32Array(shape.names.length).fill(leftOut);
    plan.readings.forEach(({ at }, slot) => {
      slots[at] = slot;
    });
    if (plan.timeAt >= 0) slots[plan.timeAt] = timeSlot;
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

  /** Whether its time is that of a clock without a zone. */
  get isLocal(): boolean {
    return this.plan.wraps;
  }

  /** Reads whole lines, each with its line end, until they are all read or the chunk is full; gives where it stopped. */
  read(bytes: Buffer, from: number, to: number): number {
    let at = from;
    while (at < to && this.rows < rowsPerChunk) {
      this.line += 1;
      const next = this.tolerantOnly ? -1 : this.scanner.scan(bytes, at, this.rows);
      if (next > 0) {
        this.admit(this.plan.timeAt < 0 ? this.rowTime() : this.scanner.written() * this.plan.secondsPerUnit);
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
    const cells = this.cellsOf(line) ?? [];
    const values = this.plan.readings.map((reading) => this.valueOf(cells[reading.at] ?? "", reading));
    if (this.plan.timeAt < 0 && values.every(Number.isNaN)) {
      this.skipped.add(this.line, "It holds no number.");
      return;
    }
    values.forEach((value, slot) => {
      const column = this.columns[slot];
      if (column !== undefined) column[this.rows] = value;
    });
    this.admit(
      this.plan.timeAt < 0
        ? this.rowTime()
        : this.secondsOf(cells[this.plan.timeAt] ?? "") * this.plan.secondsPerUnit,
    );
  }

  /** Where no column is the time, rows follow one another at a fixed rate. */
  private rowTime(): number {
    this.counted += 1;
    return (this.counted - 1) * this.plan.secondsPerUnit;
  }

  private flawOf(line: string, last: boolean): string | undefined {
    if (line === this.shape.headerLine.replace(/\r$/, "") && line !== "") return "It repeats the header.";
    const cells = this.cellsOf(line);
    const width = this.shape.names.length;
    if (cells === undefined) return last ? "It is torn off." : this.unreadable;
    if (cells.length < width && last) return "It is torn off.";
    if (fits(cells, width)) return undefined;
    return `It has ${cells.length} ${cells.length === 1 ? "cell" : "cells"} where the header has ${width}.`;
  }

  private get unreadable(): string {
    return this.shape.separator === "json" ? "It is no JSON object." : "A quote is left open.";
  }

  /** A number may carry its own unit, which then counts. */
  private valueOf(cell: string, reading: ReadingColumn): number {
    const value = numberIn(cell, this.shape.decimal);
    if (!Number.isNaN(value)) return value;
    if (reading.isFlag) return flagIn(cell);
    const united = unitIn(cell);
    if (united === undefined) return Number.NaN;
    const conversion = conversionOf(reading.match.channel, united.unit);
    if (conversion === undefined || unitSpelled(united.unit) === undefined) return Number.NaN;
    const kept = (numberIn(united.number, this.shape.decimal) + conversion.shift) * conversion.factor;
    return kept / reading.factor - reading.shift;
  }

  private secondsOf(cell: string): number {
    const { timeWriting, dateOrder } = this.plan;
    if (timeWriting === "clock") return clockSeconds(cell) ?? Number.NaN;
    if (timeWriting === "minutes") return minuteSeconds(cell) ?? Number.NaN;
    if (timeWriting === "instant") return instantSeconds(cell)?.seconds ?? Number.NaN;
    if (timeWriting === "date") return writtenMoment(cell, dateOrder)?.seconds ?? Number.NaN;
    const value = numberIn(cell, this.shape.decimal);
    return Number.isNaN(value) ? numberIn(unitIn(cell)?.number ?? "", this.shape.decimal) : value;
  }
}
