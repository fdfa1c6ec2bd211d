import { addBuild } from "../../actions/builds.ts";
import type { At } from "../../actions/context.ts";
import { boardActions, chipActions, ruleActions, workloadActions } from "../../actions/parts.ts";
import { boardDraft } from "../../bench/things/board.ts";
import type { Build } from "../../bench/things/build.ts";
import { chipDraft } from "../../bench/things/chip.ts";
import { invalid, Refusal } from "../../bench/things/refusal.ts";
import { workloadDraft } from "../../bench/things/workload.ts";
import { read } from "../../requests/reading.ts";
import { type Typed, textTyped } from "../kit/forms.ts";
import { clockTyped, temperatureTyped, voltageTyped } from "../kit/quantityTyped.ts";

/** How a chip is set, as the first form offers it; steps are common practice, and every word of it can be changed in Parts. */
export const waysOfSetting = {
  clock: { title: "a clock at a voltage", chip: {} },
  rate: {
    title: "a data rate in MT/s at a voltage",
    chip: { clockUnit: "MT/s", clockStepMhz: 200 },
  },
  clockOffset: {
    title: "an offset of its clock, in MHz",
    chip: { axis: "offset", offset: { name: "Clock offset", unit: "MHz", step: 15, harder: "up" } },
  },
  voltageOffset: {
    title: "an offset of its voltage, in mV",
    chip: { axis: "offset", offset: { name: "Voltage offset", unit: "mV", step: 5, harder: "down" } },
  },
} as const;

const settingTyped = ({ setBy = "clock" }: Typed): object => {
  if (Object.hasOwn(waysOfSetting, setBy)) return waysOfSetting[setBy as keyof typeof waysOfSetting].chip;
  throw invalid("Say how it is set.", { setBy: "Choose one of the ways that are offered." });
};

const chipTyped = (typed: Typed) => ({
  ...settingTyped(typed),
  name: textTyped(typed.chipName) ?? "",
  kind: typed.kind,
  tempLimitC: temperatureTyped(typed.tempLimitC),
  stockClockMhz: clockTyped(typed.stockClockMhz),
  stockVoltageMv: voltageTyped(typed.stockVoltageMv),
  voltageCeilingMv: voltageTyped(typed.voltageCeilingMv),
});

const boardTyped = (typed: Typed) => ({ name: textTyped(typed.boardName) ?? "" });
const workloadTyped = (typed: Typed) => ({
  name: textTyped(typed.workloadName) ?? "",
  kind: typed.workloadKind,
});

/** The form's own names for the fields that several parts have. */
const formNames: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  chip: { name: "chipName" },
  board: { name: "boardName" },
  workload: { name: "workloadName", kind: "workloadKind" },
};

/** Several fields may be blank: each says which it is. */
function wordsFor(what: string, name: string, typed: Typed): string | null {
  if (name === "tempLimitC" && textTyped(typed.tempLimitC) === null) return "A temperature limit is needed.";
  const formName = formNames[what]?.[name] ?? name;
  return name === "name" && textTyped(typed[formName]) === null
    ? `The ${what === "workload" ? "load" : what} needs a name.`
    : null;
}

/** Reads every part and gathers what is wrong with any of them, so that one look mends the form. */
export function beginningTyped(typed: Typed) {
  const refused: Record<string, string> = {};
  const part = <Draft>(what: string, reading: () => Draft): Draft | undefined => {
    try {
      return reading();
    } catch (error) {
      if (!(error instanceof Refusal) || error.code !== "invalid") throw error;
      for (const [name, words] of Object.entries(error.fields))
        refused[formNames[what]?.[name] ?? name] = wordsFor(what, name, typed) ?? words;
      return undefined;
    }
  };
  const chip = part("chip", () => read(chipDraft, chipTyped(typed), "The chip"));
  const board = part("board", () => read(boardDraft, boardTyped(typed), "The board"));
  const workload = part("workload", () => read(workloadDraft, workloadTyped(typed), "The load"));
  const [first] = Object.values(refused);
  if (!chip || !board || !workload) throw invalid(first ?? "The form could not be read.", refused);
  return { chip, board, workload, buildName: textTyped(typed.buildName) };
}

/** Each full training of a memory is a fresh draw, and one from cold may fail where warm ones hold. */
const ruleOfMemory = {
  name: "Any load, 15 minutes, over three trainings",
  requires: [{ anyWorkload: true as const, durationS: 900, trainings: 3, coldStarts: 1 }],
};

/** The first chip, board, load and build of a journal, all or none. Of memory a rule of its own comes with it. */
export function begin(beginning: ReturnType<typeof beginningTyped>, at: At): Build {
  const chip = chipActions.add(beginning.chip, at);
  const board = boardActions.add(beginning.board, at);
  workloadActions.add(beginning.workload, at);
  const name = beginning.buildName ?? `${chip.name} on ${board.name}`;
  const ruleId = chip.kind === "memory" ? ruleActions.add(ruleOfMemory, at).id : null;
  return addBuild({ name: name.slice(0, 120), chipId: chip.id, boardId: board.id, ruleId }, at);
}
