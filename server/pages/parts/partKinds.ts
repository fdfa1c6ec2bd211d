import {
  boardActions,
  chipActions,
  type PartActions,
  ruleActions,
  workloadActions,
} from "../../actions/parts.ts";
import { boardDraft } from "../../bench/things/board.ts";
import { type Chip, chipDraft } from "../../bench/things/chip.ts";
import { Refusal } from "../../bench/things/refusal.ts";
import { ruleDraft } from "../../bench/things/rule.ts";
import type { Kept } from "../../bench/things/thing.ts";
import { workloadDraft } from "../../bench/things/workload.ts";
import { read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { Typed } from "../kit/forms.ts";
import { type ThingField, thingTyped, thingWritten } from "../kit/thingFields.tsx";
import type { PartPath } from "../paths.ts";
import { chipFieldInForm, chipSettingTyped, chipSettingWritten } from "./chipSetting.ts";
import { knobRowsTyped, knobRowsWritten } from "./knobForm.tsx";
import { boardFields, chipFields, workloadFields } from "./partFields.ts";
import { fieldInForm, ruleTyped, ruleWritten } from "./ruleForm.tsx";

export type Part = Kept & Readonly<{ name: string }>;

/** How one kind of part is named, read from its form and kept. */
export type PartKind = Readonly<{
  path: PartPath;
  /** One of them, with its article. */
  one: string;
  many: string;
  actions: PartActions<Part, never>;
  store(journal: Journal): Readonly<{
    find(id: string): Part | undefined;
    findDeleted(id: string): Part | undefined;
  }>;
  draft(typed: Typed): never;
  written(part: Part): Typed;
}>;

const formed = (fields: readonly ThingField[]) => ({
  written: (part: Part) => thingWritten(fields, part),
  typed: (typed: Typed) => ({ ...thingTyped(fields, typed), name: (typed.name ?? "").trim() }),
});
const [chip, board, workload] = [formed(chipFields), formed(boardFields), formed(workloadFields)];

export const partKinds: readonly PartKind[] = [
  {
    path: "chips",
    one: "chip",
    many: "chips",
    actions: chipActions as never,
    store: ({ chips }) => chips,
    draft: (typed) => read(chipDraft, chipTyped(typed), "The chip") as never,
    written: (part) => chipWritten(part as never),
  },
  {
    path: "boards",
    one: "board",
    many: "boards",
    actions: boardActions as never,
    store: ({ boards }) => boards,
    draft: (typed) => read(boardDraft, board.typed(typed), "The board") as never,
    written: board.written,
  },
  {
    path: "workloads",
    one: "load",
    many: "loads",
    actions: workloadActions as never,
    store: ({ workloads }) => workloads,
    draft: (typed) => read(workloadDraft, workload.typed(typed), "The load") as never,
    written: workload.written,
  },
  {
    path: "rules",
    one: "acceptance rule",
    many: "acceptance rules",
    actions: ruleActions as never,
    store: ({ rules }) => rules,
    draft: (typed) => ruleDraftTyped(typed) as never,
    written: (part) => ruleWritten(part as never),
  },
];

const chipTyped = (typed: Typed) => ({
  ...chip.typed(typed),
  ...chipSettingTyped(typed),
  knobs: knobRowsTyped(typed),
});

const chipWritten = (part: Chip): Typed => ({
  ...chip.written(part),
  ...chipSettingWritten(part),
  ...knobRowsWritten(part.knobs),
});

function ruleDraftTyped(typed: Typed): unknown {
  try {
    return read(ruleDraft, ruleTyped(typed), "The rule");
  } catch (error) {
    throw inForm(error, typed);
  }
}

/** A refusal with its words beside the fields of the form. */
export function inForm(error: unknown, typed: Typed): unknown {
  if (!(error instanceof Refusal) || Object.keys(error.fields).length === 0) return error;
  const placeOf = (field: string) => chipFieldInForm(fieldInForm(field, typed));
  const fields = Object.entries(error.fields).map(([field, words]) => [placeOf(field), words]);
  return new Refusal(error.code, error.message, Object.fromEntries(fields), error.extra);
}
