import { describe, expect, it } from "vitest";
import { usualAssumptions } from "../../../server/bench/comparison/assumptions.ts";
import { comparisonOf } from "../../../server/bench/comparison/comparison.ts";
import type { FrontierPoint } from "../../../server/bench/frontier/frontierPoint.ts";
import type { HeatRun } from "../../../server/bench/heat/heatReading.ts";
import type { ComparedRun } from "../../../server/bench/runs/comparedRun.ts";
import type { Board } from "../../../server/bench/things/board.ts";
import type { Build } from "../../../server/bench/things/build.ts";
import type { Chip } from "../../../server/bench/things/chip.ts";
import type { Rule } from "../../../server/bench/things/rule.ts";
import type { Account, AccountedBuild } from "../../../server/bench/writeUp/account.ts";
import type { Block, Paragraph, TableBlock } from "../../../server/bench/writeUp/block.ts";
import { allMeasures } from "../../../server/bench/writeUp/results.ts";
import { slotsOf } from "../../../server/bench/writeUp/slots.ts";
import { writeUpOf } from "../../../server/bench/writeUp/writeUp.ts";
import { run } from "../comparison/benchDay.ts";

const kept = { createdAt: "2031-03-01T10:00:00.000Z", updatedAt: "2031-03-01T10:00:00.000Z", version: 1 };
const chip = { ...kept, id: "chip", name: "Tern 8", kind: "cpu", clockUnit: "MHz" } as Chip;
const board = { ...kept, id: "board", name: "Quay S", formFactor: "small" } as Board;
const point = (voltageMv: number, heldMhz: number, contested: string[] = []): FrontierPoint => ({
  voltageMv,
  highestPassedMhz: heldMhz + (contested.length > 0 ? 50 : 0),
  heldMhz,
  impliedMhz: heldMhz,
  lowestCrashMhz: heldMhz + 50,
  gapMhz: 50,
  evidence: { passes: 1, crashes: 1, exposureS: 1800, mtbfLowerS: 600, surviveHours: {} as never },
  loadTempC: 84,
  marginC: 6,
  margin: "tight",
  contested,
  knobs: null,
});
const accounted = (name: string, temps: readonly number[], points: FrontierPoint[]): AccountedBuild => ({
  build: {
    ...kept,
    id: name,
    name,
    chipId: "chip",
    boardId: "board",
    cooler: "tower",
    case: name,
    fans: "",
    orientation: "",
    memory: "",
    powerSupply: "",
    firmware: "",
    basedOn: null,
    change: null,
    hottestAmbientC: 30,
    ruleId: null,
    note: "",
  } as Build,
  chip,
  board,
  mounts: [],
  runs: temps.map((loadTempC, n) => run({ id: `${name}${n}`, mountId: `${name}${n}`, loadTempC })),
  noise: [],
  points,
  warnings: ["No room temperature was noted."],
});
const rule: Rule = {
  ...kept,
  id: "rule",
  name: "Any load, 15 minutes",
  requires: [
    { workloadId: null, anyWorkload: true, durationS: 900, correctedErrors: null, coldStarts: null },
  ],
};

const frame = accounted("Open frame", [78.2, 79.1, 77.6], [point(1250, 4800)]);
const cupboard = accounted("Cupboard", [84.6, 85.3, 83.9], [point(1250, 4750, ["attempt"])]);
const compared = (build: AccountedBuild) => ({
  id: build.build.id,
  name: build.build.name,
  chipId: "chip",
  runs: build.runs as readonly ComparedRun[],
});
const account = (over: Partial<Account> = {}): Account => ({
  title: "Frame or cupboard",
  notice: null,
  asOf: "2031-03-04T17:05:00.000Z",
  use: "benchmark",
  builds: [frame, cupboard],
  rule,
  workloads: new Map(),
  comparisons: [
    {
      aName: "Open frame",
      bName: "Cupboard",
      equalLoudness: "Equally loud, Cupboard runs 3.0 °C cooler on average.",
      comparison: comparisonOf({
        a: compared(frame),
        b: compared(cupboard),
        others: [],
        idleWorkloadIds: new Set(),
        assumptions: usualAssumptions,
        clocks: { a: frame.points, b: cupboard.points },
        loadVoltages: null,
        noise: [[], []],
      }),
    },
  ],
  answers: [
    {
      buildName: "Open frame",
      answer: { state: "looking", setting: null, because: ["Nothing ran."], reckoning: false },
    },
  ],
  recommendations: [
    {
      buildName: "Cupboard",
      use: "long loads",
      setting: { clockMhz: 4700, voltageMv: 1200 },
      because: ["It keeps 12 °C of margin."],
    },
  ],
  heat: null,
  pictures: [],
  own: {},
  ...over,
});

const headings = (blocks: readonly Block[]) =>
  blocks.flatMap((block) => (block.as === "heading" ? [block.words] : []));
const tables = (blocks: readonly Block[]) =>
  blocks.filter((block): block is TableBlock => block.as === "table");
const paragraphs = (blocks: readonly Block[]) =>
  blocks.filter((block): block is Paragraph => block.as === "paragraph");

describe("every measure of a comparison", () => {
  it("has temperatures and power to a tenth, and turns and clocks whole", () => {
    const [compare] = account().comparisons;
    const read = { fanRpm: 1450.4, effectiveClockMhz: 4587.25, powerW: 131.26 };
    const built = (name: string, more: number) => ({
      ...{ id: name, name, chipId: "chip" },
      runs: [0, 1, 2].map((n) =>
        run({ id: `${name}${n}`, mountId: `${name}${n}`, ...read, loadTempC: 80.25 + more + n }),
      ),
    });
    const comparison = comparisonOf({
      ...{ a: built("Frame", 0), b: built("Cupboard", 4), others: [], idleWorkloadIds: new Set() },
      ...{ assumptions: usualAssumptions, clocks: { a: [], b: [] }, loadVoltages: null, noise: [[], []] },
    });
    const [{ rows }] = tables(allMeasures(account(), { ...compare!, comparison }, 0)) as [TableBlock];
    expect(Object.fromEntries(rows.map(([measure, , a]) => [measure, a]))).toEqual({
      "Loaded, °C": "59.3",
      "Power, W": "131.3",
      "Fan speed, rpm": "1450",
      "Effective clock, MHz": "4587",
    });
  });
});

describe("the account", () => {
  it("runs from what was compared to the cautions, the answer first", () => {
    const blocks = writeUpOf(account());
    expect(headings(blocks).filter((words) => !words.includes("Open frame") && words !== "Cupboard")).toEqual(
      [
        "Frame or cupboard",
        "What was compared",
        "Method",
        "Conditions",
        "How far each build goes",
        "What sets them apart",
        "Contested claims",
        "Verdict",
        "What to run",
        "Caveats",
        "Cautions",
      ],
    );
    expect(blocks[1]).toMatchObject({
      slot: "answer",
      words: expect.stringContaining("Open frame held 50 MHz more at 1.250 V"),
    });
  });
  it("tells what equal loudness showed, and nothing of it where it was not read", () => {
    const told = (equalLoudness: string | null) => {
      const [compared] = account().comparisons;
      const blocks = writeUpOf(account({ comparisons: [{ ...compared!, equalLoudness }] }));
      return blocks.flatMap((block) => (block.as === "list" ? block.items : []));
    };
    expect(told("Equally loud, it is cooler.")).toContain("Equally loud, it is cooler.");
    expect(told(null).join(" ")).not.toContain("qually loud");
  });
  it("every table has as many cells as columns, every table and chart a name of its own", () => {
    const blocks = writeUpOf(account());
    for (const { columns, rows } of tables(blocks))
      for (const row of rows) expect(row).toHaveLength(columns.length);
    const names = tables(blocks).map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    const charts = blocks.flatMap((block) => (block.as === "chart" ? [block.name] : []));
    expect(charts).toEqual(["limit-1", "limit-2", "frontiers", "differences-1"]);
  });
  it("tells heat from one run a build, what held it back with it, and which build has no log", () => {
    const ran = {
      ...{ ambientC: 22.04, powerW: 131.6, levelledAtS: 480, heldBackMhz: 4348 },
      level: { meanC: 79.94, lowC: 79.6, highC: 80.3, windowS: 180, samples: 181, independent: 8 },
      rise: { mid: 57.9, low: 57.5, high: 58.3 },
      resistance: { mid: 0.4401, low: 0.43, high: 0.45 },
    } as HeatRun;
    const told = { setting: "4300 MHz at 1.15 V under Stacking", asRise: true, without: ["Open frame"] };
    const blocks = writeUpOf(account({ heat: { ...told, runs: [{ buildName: "Cupboard", run: ran }] } }));
    expect(headings(blocks)).toContain("Heat");
    const chart = blocks.find((block) => block.as === "chart" && block.name === "heat");
    expect(chart).toMatchObject({
      caption: expect.stringMatching(
        /^Rise over the room, .* 4300 MHz at 1.15 V under Stacking, .* No log of it: Open frame\.$/,
      ),
    });
    expect(tables(blocks).find(({ name }) => name === "heat")?.rows).toEqual([
      ["Cupboard", "79.9", "22.0", "57.9", "57.5 to 58.3", "132", "0.440", "8.0", "4348"],
    ]);
    expect(headings(writeUpOf(account()))).not.toContain("Heat");
  });
  it("figures are the journal's, with intervals and verdicts", () => {
    const rows = tables(writeUpOf(account())).find(({ name }) => name === "measures-1")!.rows;
    expect(rows[0]).toEqual([
      "Loaded, °C",
      "4600 MHz, 1.200 V, a load since removed",
      "56.3",
      "62.6",
      "+6.3",
      expect.stringMatching(/^4\.\d to 8\.\d$/),
      "3, 3",
      "3, 3",
      "differs",
    ]);
  });
  it("a difference that is real and too small to matter is called both", () => {
    const six = [1, 2, 3, 2, 1, 2];
    const verdictOf = (
      read: (n: number) => Pick<ComparedRun, "loadTempC" | "effectiveClockMhz">,
      more: (n: number) => Pick<ComparedRun, "loadTempC" | "effectiveClockMhz">,
    ) => {
      const side = (build: AccountedBuild, over: typeof read) => ({
        ...compared(build),
        runs: six.map((n, at) =>
          run({ id: `${build.build.id}${at}`, mountId: build.build.id, ...over(n / 100) }),
        ),
      });
      const [asked] = account().comparisons;
      const comparison = comparisonOf({
        ...{ a: side(frame, read), b: side(cupboard, more), others: [], idleWorkloadIds: new Set<string>() },
        ...{
          assumptions: { ...usualAssumptions, coolerStayedOn: true },
          loadVoltages: null,
          noise: [[], []],
        },
        clocks: { a: frame.points, b: cupboard.points },
      });
      const blocks = writeUpOf(account({ comparisons: [{ ...asked!, comparison }] }));
      return tables(blocks)
        .find(({ name }) => name === "measures-1")
        ?.rows.map((row) => row.at(-1));
    };
    const warmer = (byC: number) =>
      verdictOf(
        (n) => ({ loadTempC: 80 + n, effectiveClockMhz: null }),
        (n) => ({ loadTempC: 80 + byC + n, effectiveClockMhz: null }),
      );
    expect(warmer(0.9)).toEqual(["differs, by less than is worth having"]);
    expect(warmer(3)).toEqual(["differs"]);
    const faster = (byMhz: number) =>
      verdictOf(
        (n) => ({ loadTempC: null, effectiveClockMhz: 4590 + n }),
        (n) => ({ loadTempC: null, effectiveClockMhz: 4590 + byMhz + n }),
      );
    expect(faster(24)).toEqual(["differs by itself, by less than a clock step"]);
    expect(faster(26)).toEqual(["differs by itself"]);
  });
  it("a claim that is contested is listed with what held in its place", () => {
    const items = writeUpOf(account()).flatMap((block) => (block.as === "list" ? block.items : []));
    expect(items).toContain(
      "Cupboard at 1.250 V: 1 pass contested by a crash at that or an easier setting; 4750 MHz held there.",
    );
    expect(items).toContain("Cupboard, long loads: 4700 MHz at 1.200 V. It keeps 12 °C of margin.");
  });
  it("the writer's own words stand in, and are called stale once the journal says otherwise", () => {
    const now = paragraphs(writeUpOf(account())).find(({ slot }) => slot === "verdict")!.words;
    const own = { verdict: { words: "Take the frame.", replaced: now } };
    const fresh = paragraphs(writeUpOf(account({ own }))).find(({ slot }) => slot === "verdict")!;
    expect(fresh).toMatchObject({ words: "Take the frame.", replaces: now, isStale: false });
    const stale = { verdict: { words: "Take the frame.", replaced: "something older" } };
    const later = paragraphs(writeUpOf(account({ own: stale }))).find(({ slot }) => slot === "verdict")!;
    expect(later.isStale).toBe(true);
  });
  it("words left empty leave their paragraph out, never a table", () => {
    const before = tables(writeUpOf(account())).length;
    const blocks = writeUpOf(account({ own: { method: { words: " ", replaced: "" } } }));
    expect(headings(blocks)).not.toContain("Method");
    expect(tables(blocks)).toHaveLength(before);
  });
  it("one build alone has an account too", () => {
    const blocks = writeUpOf(account({ builds: [frame], comparisons: [] }));
    expect(blocks[1]).toMatchObject({ words: "Open frame: No setting to run yet: Nothing ran." });
    expect(headings(blocks)).not.toContain("What sets them apart");
  });
});

describe("slotsOf(account)", () => {
  it("gives every paragraph that may be told in own words with what the journal says there, the title first", () => {
    const told = account();
    const paragraphs = new Map(
      writeUpOf(told).flatMap((block) =>
        block.as === "paragraph" ? [[block.slot, block.words] as const] : [],
      ),
    );
    const [title, ...others] = slotsOf(told);
    expect(title).toMatchObject({ slot: "title", words: told.title });
    expect(others.map(({ words }) => words)).toEqual(others.map(({ slot }) => paragraphs.get(slot) ?? ""));
    expect(others.filter(({ words }) => words !== "").length).toBeGreaterThan(2);
    expect(slotsOf({ ...told, own: { title: { words: "Our own", replaced: told.title } } })).toEqual(
      slotsOf(told),
    );
  });
});
