import * as z from "zod";
import { calledThing, temperatures } from "./asSet.ts";
import { type Knob, knobDrafts, knobFrom } from "./knob.ts";
import type { Kept } from "./thing.ts";
import {
  clockMhz,
  clockStepMhz,
  count,
  name,
  note,
  temperatureC,
  temperatureDifferenceC,
  text,
  voltageMv,
  voltageStepMv,
} from "./units.ts";

export const chipKinds = ["cpu", "gpu", "memory"] as const;
export type ChipKind = (typeof chipKinds)[number];

/** What is searched: clocks over voltages, or an offset, with clock and voltage as readings. */
export const axes = ["clock", "offset"] as const;
export const clockUnits = ["MHz", "MT/s"] as const;
export const appliers = ["firmware", "software"] as const;
export const offsetUnits = ["mV", "MHz", "%", "counts"] as const;

const aboutAnOffset = z.number().min(-20_000).max(20_000);
const offsetAxis = z
  .strictObject({
    name: name.max(60),
    unit: z.enum(offsetUnits, { error: `The unit of an offset is one of: ${offsetUnits.join(", ")}.` }),
    step: z.number({ error: "The step must be a number." }).positive("A step lies above 0.").max(1000),
    harder: z.enum(["up", "down"], { error: "Harder to hold is more (up) or less (down)." }),
    low: aboutAnOffset.nullish(),
    high: aboutAnOffset.nullish(),
    countIsAboutMv: z.number().positive().max(500).nullish(),
  })
  .refine(({ low, high }) => low == null || high == null || low < high, "The lowest lies below the highest.");

const chipPart = z.strictObject({ name: calledThing, kernel: text(40).nullish() });
const modules = z.strictObject({
  count: count("The number of modules", 64).min(1),
  ranks: count("The number of ranks", 16).min(1).nullish(),
  slots: text(60).nullish(),
});

export const chipDraft = z.strictObject({
  name,
  kind: z.enum(chipKinds, { error: "A chip is one of: cpu, gpu, memory." }),
  tempLimitC: temperatureC,
  warnMarginC: temperatureDifferenceC.nullish(),
  voltageCeilingMv: voltageMv.nullish(),
  stockClockMhz: clockMhz.nullish(),
  stockVoltageMv: voltageMv.nullish(),
  clockStepMhz: clockStepMhz.nullish(),
  voltageStepMv: voltageStepMv.nullish(),
  sensorAccuracyC: temperatureDifferenceC.nullish(),
  axis: z.enum(axes, { error: `The axis is one of: ${axes.join(", ")}.` }).nullish(),
  offset: offsetAxis.nullish(),
  parts: z.array(chipPart).max(128, "A chip has at most 128 parts.").nullish(),
  model: text(120).nullish(),
  clockUnit: z.enum(clockUnits, { error: `The unit is one of: ${clockUnits.join(", ")}.` }).nullish(),
  clockGrid: z.array(clockMhz).max(200, "A grid has at most 200 rates.").nullish(),
  voltageName: text(60).nullish(),
  baseClockMhz: clockMhz.nullish(),
  stockCurve: z.array(z.strictObject({ voltageMv, clockMhz })).max(300).nullish(),
  knobs: knobDrafts.nullish(),
  limits: temperatures.nullish(),
  mainPlace: text(40).nullish(),
  controlOffsetC: z.number().min(-100).max(100).nullish(),
  appliedBy: z.enum(appliers, { error: `Applied by one of: ${appliers.join(", ")}.` }).nullish(),
  sharedSupply: z.boolean({ error: "sharedSupply is true or false." }).nullish(),
  automaticVoltage: z.boolean({ error: "automaticVoltage is true or false." }).nullish(),
  /** The same said as one word. */
  voltage: z.literal("automatic", { error: 'voltage is "automatic", or left out.' }).nullish(),
  lowestTempC: temperatureC.nullish(),
  modules: modules.nullish(),
  note: note.nullish(),
});
export type ChipDraft = z.infer<typeof chipDraft>;

/** What an offset chip is set by. `low` and `high` are what its firmware offers. */
export type OffsetAxis = Readonly<{
  name: string;
  unit: (typeof offsetUnits)[number];
  step: number;
  harder: "up" | "down";
  low: number | null;
  high: number | null;
  countIsAboutMv: number | null;
}>;

/** A core or domain with an offset of its own; the kernel may number it otherwise than the firmware. */
export type ChipPart = Readonly<{ name: string; kernel: string | null }>;

/** The sample under test. */
export type Chip = Kept &
  Readonly<{
    name: string;
    kind: ChipKind;
    tempLimitC: number;
    warnMarginC: number;
    voltageCeilingMv: number | null;
    stockClockMhz: number | null;
    stockVoltageMv: number | null;
    clockStepMhz: number;
    voltageStepMv: number;
    sensorAccuracyC: number;
    axis: (typeof axes)[number];
    /** Known wherever the axis is `offset`. */
    offset: OffsetAxis | null;
    parts: readonly ChipPart[];
    /** All parts take one voltage: the one that asks most gives it to all that are awake. */
    sharedSupply: boolean;
    /** What several samples have in common. */
    model: string | null;
    /** With MT/s every `clockMhz` of the chip holds that. */
    clockUnit: (typeof clockUnits)[number];
    /** The rates that exist, lowest first, where they are not evenly stepped. */
    clockGrid: readonly number[];
    voltageName: string | null;
    baseClockMhz: number | null;
    /** Drawn, not reckoned with. */
    stockCurve: readonly Readonly<{ voltageMv: number; clockMhz: number }>[];
    knobs: readonly Knob[];
    /** A limit for each place besides the main one. */
    limits: Readonly<Record<string, number>>;
    /** Where `loadTempC` is read. */
    mainPlace: string | null;
    /** How far the main place's reading stands above the true temperature, where it is a control value. */
    controlOffsetC: number | null;
    appliedBy: (typeof appliers)[number];
    automaticVoltage: boolean;
    /** Below it a crash is the cold's. */
    lowestTempC: number | null;
    modules: Readonly<{ count: number; ranks: number | null; slots: string }> | null;
    note: string;
  }>;

/** The limit as the main place's sensor would tell it, where that tells a control value. */
export const readLimitC = ({
  tempLimitC,
  controlOffsetC,
}: Pick<Chip, "tempLimitC"> & Partial<Pick<Chip, "controlOffsetC">>): number =>
  tempLimitC + (controlOffsetC ?? 0);

/** A draft with the usual values where none was given: warning margin 10 °C, steps of 25 MHz and 12.5 mV, sensor ±1 °C. */
export const chipFrom = (draft: ChipDraft): Omit<Chip, keyof Kept> => ({
  name: draft.name,
  kind: draft.kind,
  tempLimitC: draft.tempLimitC,
  warnMarginC: draft.warnMarginC ?? 10,
  voltageCeilingMv: draft.voltageCeilingMv ?? null,
  stockClockMhz: draft.stockClockMhz ?? null,
  stockVoltageMv: draft.stockVoltageMv ?? null,
  clockStepMhz: draft.clockStepMhz ?? 25,
  voltageStepMv: draft.voltageStepMv ?? 12.5,
  sensorAccuracyC: draft.sensorAccuracyC ?? 1,
  ...searchedBy(draft),
  ...namedBy(draft),
  ...guardedBy(draft),
  note: draft.note ?? "",
});

const searchedBy = (draft: ChipDraft) => ({
  axis: draft.axis ?? "clock",
  offset: draft.offset
    ? {
        ...draft.offset,
        low: draft.offset.low ?? null,
        high: draft.offset.high ?? null,
        countIsAboutMv: draft.offset.countIsAboutMv ?? null,
      }
    : null,
  parts: (draft.parts ?? []).map(({ name: called, kernel }) => ({ name: called, kernel: kernel || null })),
  knobs: (draft.knobs ?? []).map(knobFrom),
  sharedSupply: draft.sharedSupply ?? false,
  automaticVoltage: draft.voltage === "automatic" || (draft.automaticVoltage ?? false),
  appliedBy: draft.appliedBy ?? "firmware",
});

const namedBy = (draft: ChipDraft) => ({
  model: draft.model || null,
  clockUnit: draft.clockUnit ?? "MHz",
  clockGrid: [...new Set(draft.clockGrid ?? [])].sort((a, b) => a - b),
  voltageName: draft.voltageName || null,
  baseClockMhz: draft.baseClockMhz ?? null,
  stockCurve: [...(draft.stockCurve ?? [])].sort((a, b) => a.voltageMv - b.voltageMv),
  modules: draft.modules
    ? { count: draft.modules.count, ranks: draft.modules.ranks ?? null, slots: draft.modules.slots ?? "" }
    : null,
});

const guardedBy = (draft: ChipDraft) => ({
  limits: draft.limits ?? {},
  mainPlace: draft.mainPlace || null,
  controlOffsetC: draft.controlOffsetC ?? null,
  lowestTempC: draft.lowestTempC ?? null,
});
