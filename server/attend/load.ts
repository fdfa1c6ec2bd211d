import type { WorkloadKind } from "../bench/things/workload.ts";
import type { Exit } from "./ending.ts";
import type { ThreadTimes } from "./loadProof.ts";

/** The tester's own load, at work. */
export type Load = Readonly<{
  /** Null while it runs. */
  exit(): Exit | null;
  /** What it printed since this was last asked. */
  printed(): string;
  /** Processor time of its threads; costs a look at every process, so it is asked for every ten seconds. */
  threads(): ThreadTimes;
  /** Asks the whole group to end. */
  ask(): void;
  /** Ends the whole group without asking. */
  kill(): void;
  /** True once none of the group is left. */
  isGone(): boolean;
  /** Processes of it that left its group and go on. */
  escaped(): readonly string[];
}>;

/** What a load is started for. The mark by which its processes are known again is the attempt's id; a real one needs no more. */
export type LoadFor = Readonly<{
  attemptId: string;
  clockMhz: number | null;
  voltageMv: number | null;
  workloadKind: WorkloadKind;
  plannedS: number | null;
}>;
export type StartLoad = (what: LoadFor) => Load;

/** Lines as they become whole, and the newest part of all that was printed. */
export type Output = Readonly<{
  /** Whole lines among what was printed now; `isLast` takes an unfinished one too. */
  lines(printed: string, isLast?: boolean): readonly string[];
  /** Something that the load did not print, as a line of its own. */
  note(line: string): void;
  kept(): string;
}>;

const keptBytes = 60 * 1024;
const longestLine = 4096;

export function outputOf(): Output {
  let [unfinished, kept] = ["", ""];
  return {
    lines: (told, isLast = false) => {
      const printed = told.replaceAll("\u0000", "");
      kept = newest(kept + printed);
      const pieces = (unfinished + printed).split(/\r\n|\n|\r/);
      unfinished = isLast ? "" : (pieces.pop() ?? "").slice(-longestLine);
      return pieces.filter((line) => line !== "").map((line) => line.slice(0, longestLine));
    },
    note: (line) => {
      kept = newest(`${kept}${kept === "" || kept.endsWith("\n") ? "" : "\n"}${line}\n`);
    },
    kept: () => kept,
  };
}

/** Cut to what fits, at a whole line where there is one. */
export function newest(text: string): string {
  if (Buffer.byteLength(text) <= keptBytes) return text;
  const bytes = Buffer.from(text);
  const cut = bytes
    .subarray(bytes.length - keptBytes)
    .toString()
    .replace(/^\ufffd+/, "");
  return cut.slice(cut.indexOf("\n") + 1);
}
