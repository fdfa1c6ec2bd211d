import * as z from "zod";
import { type BuildAim, goals, uses } from "./aim.ts";
import type { Kept } from "./thing.ts";
import { id, instant, name, note, supplyEfficiencyPct, temperatureC, text } from "./units.ts";

/** The parts that may change under a build's attempts; each attempt keeps them as they stood. */
export const partNames = [
  "cooler",
  "case",
  "fans",
  "orientation",
  "memory",
  "powerSupply",
  "firmware",
] as const;
type PartName = (typeof partNames)[number];
export type Parts = Readonly<Record<PartName, string>>;

/** What a reader is told each part is. */
export const partWords: Parts = {
  cooler: "Cooler",
  case: "Case",
  fans: "Fans",
  orientation: "Orientation",
  memory: "Memory",
  powerSupply: "Power supply",
  firmware: "Firmware",
};

const part = text(200).nullish();

export const buildDraft = z.strictObject({
  name,
  chipId: id,
  boardId: id,
  cooler: part,
  case: part,
  fans: part,
  orientation: part,
  memory: part,
  powerSupply: part,
  supplyEfficiencyPct: supplyEfficiencyPct.nullish(),
  firmware: part,
  basedOn: id.nullish(),
  change: text(500).nullish(),
  hottestAmbientC: temperatureC.nullish(),
  ruleId: id.nullish(),
  use: z.enum(uses, { error: `The use is one of: ${uses.join(", ")}.` }).nullish(),
  goal: z.enum(goals, { error: `The goal is one of: ${goals.join(", ")}.` }).nullish(),
  note: note.nullish(),
});
export type BuildDraft = z.infer<typeof buildDraft>;

/** One chip on one board with cooler, case, fans, orientation and memory. */
export type Build = Kept &
  Parts &
  BuildAim &
  Readonly<{
    name: string;
    chipId: string;
    boardId: string;
    /** The build this one differs from by one stated `change`. */
    basedOn: string | null;
    change: string | null;
    /** The hottest room the owner plans for. */
    hottestAmbientC: number;
    /** Of its power supply, as stated; readings at the wall are taken times it. Null where nobody said. */
    supplyEfficiencyPct: number | null;
    ruleId: string | null;
    note: string;
  }>;

export const buildFrom = (draft: BuildDraft): Omit<Build, keyof Kept> => ({
  name: draft.name,
  chipId: draft.chipId,
  boardId: draft.boardId,
  cooler: draft.cooler ?? "",
  case: draft.case ?? "",
  fans: draft.fans ?? "",
  orientation: draft.orientation ?? "",
  memory: draft.memory ?? "",
  powerSupply: draft.powerSupply ?? "",
  firmware: draft.firmware ?? "",
  basedOn: draft.basedOn ?? null,
  change: draft.change ?? null,
  hottestAmbientC: draft.hottestAmbientC ?? 30,
  supplyEfficiencyPct: draft.supplyEfficiencyPct ?? null,
  ruleId: draft.ruleId ?? null,
  use: draft.use ?? "benchmark",
  goal: draft.goal ?? "clock",
  note: draft.note ?? "",
});

export const partsOf = (build: Parts): Parts => ({
  cooler: build.cooler,
  case: build.case,
  fans: build.fans,
  orientation: build.orientation,
  memory: build.memory,
  powerSupply: build.powerSupply,
  firmware: build.firmware,
});

export const mountDraft = z.strictObject({
  mountedAt: instant,
  paste: text(200).nullish(),
  note: note.nullish(),
});
export type MountDraft = z.infer<typeof mountDraft>;

/** One putting-on of the cooler. The first mount of a build has no date. */
export type Mount = Kept &
  Readonly<{ buildId: string; mountedAt: string | null; paste: string | null; note: string }>;

export const mountFrom = (
  draft: Omit<MountDraft, "mountedAt"> & { mountedAt: string | null },
): Omit<Mount, keyof Kept | "buildId"> => ({
  mountedAt: draft.mountedAt,
  paste: draft.paste ?? null,
  note: draft.note ?? "",
});
