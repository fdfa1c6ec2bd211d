import { execFileSync, spawnSync } from "node:child_process";
import { beforeAll, describe, expect, it } from "vitest";
import type { ColumnMatch } from "../../server/bench/logs/columnMatch.ts";
import { readLog } from "./readLog.ts";

/** Whether this machine has a tool; a log of one it has not is not recorded. */
const has = (tool: string): boolean => spawnSync("sh", ["-c", `command -v ${tool}`]).status === 0;
const recorded = (script: string): string => execFileSync("sh", ["-c", script], { encoding: "utf8" });
const match = (
  column: string | number,
  channel: string,
  unit = "",
  everyS: number | null = null,
): ColumnMatch => ({
  ...{ column, channel, unit, everyS },
});
const eachSecond = match("", "time", "count", 1);
const steps = (t: readonly number[]): readonly number[] => t.slice(1).map((at, i) => at - (t[i] as number));

type Recording = Readonly<{
  tool: string;
  script: string;
  columns: readonly ColumnMatch[] | null;
  channel: string;
}>;

/** Statistics of this very machine, as its common tools write them; some are read at once, some after one mapping. */
const recordings: Readonly<Record<string, Recording>> = {
  "virtual memory, with the time": {
    ...{ tool: "vmstat", script: "vmstat -n -t 1 5", channel: "us", columns: null },
  },
  "virtual memory, wide, its header repeated": {
    ...{ tool: "vmstat", script: "for i in 1 2 3; do vmstat -w -t 1 2; done", channel: "us", columns: null },
  },
  "virtual memory, without a time": {
    ...{
      tool: "vmstat",
      script: "vmstat 1 5",
      channel: "busy",
      columns: [eachSecond, match("us", "busy", "%")],
    },
  },
  "free memory, a label before each row": {
    ...{
      tool: "free",
      script: "free -s 1 -c 5",
      channel: "used",
      columns: [eachSecond, match("used", "used", "KiB")],
    },
  },
  "processes in batches, under a page of totals": {
    ...{ tool: "top", script: "top -b -d 1 -n 5 -p 1", channel: "share" },
    columns: [eachSecond, match("%CPU", "share", "%")],
  },
  "load averages with the seconds since 1970, no header": {
    tool: "date",
    script: 'for i in 1 2 3 4 5; do echo "$(date +%s.%N) $(cat /proc/loadavg)"; sleep 0.5; done',
    columns: [match(1, "time", "s"), match(2, "average", "")],
    channel: "average",
  },
  "ticks of the processor as JSON lines": {
    tool: "awk",
    script:
      'for i in 1 2 3 4 5; do awk -v t="$(date +%s%3N)" \'/^cpu /{printf "{\\"time\\":%s,\\"cpu\\":{\\"user\\":%d,\\"idle\\":%d}}\\n",t,$2,$5}\' /proc/stat; sleep 0.5; done',
    columns: null,
    channel: "cpu.idle",
  },
};

describe.skipIf(process.platform !== "linux")("logs recorded on this machine by its common tools", () => {
  const logs = new Map<string, string>();
  beforeAll(() => {
    for (const [name, { tool, script }] of Object.entries(recordings))
      if (has(tool)) logs.set(name, recorded(script));
  }, 120_000);

  it("at least five of them could be recorded", () => {
    expect(logs.size).toBeGreaterThanOrEqual(5);
  });

  for (const [name, { columns, channel }] of Object.entries(recordings))
    it(`${name}: values and times`, async ({ skip }) => {
      const log = logs.get(name);
      if (log === undefined) return skip();
      const read = await readLog(log, columns === null ? {} : { matches: columns });
      expect(read.t.length).toBeGreaterThanOrEqual(5);
      for (const step of steps(read.t)) expect(step).toBeLessThan(30);
      expect(read.t.at(-1)).toBeGreaterThan(1);
      const values = read.channels[channel] ?? [];
      expect(values).toHaveLength(read.t.length);
      expect(values.every((value) => value >= 0)).toBe(true);
      for (const value of values) expect(log).toContain(String(value));
    });
});
