import { goalInWords, goals, useInWords, uses } from "../../bench/things/aim.ts";
import type { Build, BuildDraft } from "../../bench/things/build.ts";
import { buildDraft } from "../../bench/things/build.ts";
import { standardRuleId } from "../../bench/things/rule.ts";
import type { Choice } from "../../html/field.tsx";
import { read } from "../../requests/reading.ts";
import type { Journal } from "../../store/file/journal.ts";
import type { Typed } from "../kit/forms.ts";
import { type ThingField, thingTyped, thingWritten } from "../kit/thingFields.tsx";

const choicesOf = (things: readonly Readonly<{ id: string; name: string }>[]): readonly Choice[] =>
  things.map(({ id, name }) => ({ value: id, title: name }));

export type BuildFields = Readonly<{
  setting: readonly ThingField[];
  parts: readonly ThingField[];
  plans: readonly ThingField[];
}>;

export const changeField: ThingField = {
  name: "change",
  label: "The one thing that is different",
  kind: "text",
  required: true,
  hint: "Such as: side panel off, or board Quay L in place of Quay S. With one change, a difference has one cause.",
};

/** The fields of a build, with what the journal has to choose from. */
export function buildFields(journal: Journal): BuildFields {
  return {
    setting: [
      { name: "name", label: "Name", kind: "text", required: true },
      {
        name: "chipId",
        label: "Chip",
        kind: "choice",
        required: true,
        choices: choicesOf(journal.chips.all()),
      },
      {
        name: "boardId",
        label: "Board",
        kind: "choice",
        required: true,
        choices: choicesOf(journal.boards.all()),
      },
    ],
    parts: [
      { name: "cooler", label: "Cooler", kind: "text" },
      { name: "case", label: "Case", kind: "text" },
      { name: "fans", label: "Fans and their profile", kind: "text" },
      { name: "orientation", label: "Orientation", kind: "text", rarer: true },
      { name: "memory", label: "Memory", kind: "text", rarer: true },
      { name: "powerSupply", label: "Power supply", kind: "text", rarer: true },
      {
        name: "supplyEfficiencyPct",
        label: "Efficiency of the supply",
        kind: "number",
        unit: "%",
        rarer: true,
        hint: "At this load, from its maker's table or your own meter. Power read at the wall is taken times it; left blank, kept as read.",
      },
      { name: "firmware", label: "Firmware", kind: "text", rarer: true },
    ],
    plans: [
      {
        name: "hottestAmbientC",
        label: "Hottest room you plan for",
        kind: "temperature",
        usual: "30 °C",
        hint: "Margins are worked out for it.",
      },
      {
        name: "ruleId",
        label: "Judged by",
        kind: "choice",
        choices: choicesOf(journal.rules.all()),
        none: `the usual: ${journal.rules.find(standardRuleId)?.name ?? ""}`,
      },
      {
        name: "use",
        label: "To be good for",
        kind: "choice",
        required: true,
        choices: uses.map((use) => ({ value: use, title: useInWords[use] })),
        hint: "The longer nobody watches, the stricter.",
      },
      {
        name: "goal",
        label: "Looking for",
        kind: "choice",
        required: true,
        choices: goals.map((goal) => ({ value: goal, title: goalInWords[goal] })),
      },
      { name: "note", label: "Note", kind: "note", rarer: true },
    ],
  };
}

const all = ({ setting, parts, plans }: BuildFields): readonly ThingField[] => [
  ...setting,
  ...parts,
  ...plans,
];

export const buildWritten = (fields: BuildFields, build: Build): Typed => ({
  ...thingWritten(all(fields), build),
  basedOn: build.basedOn ?? "",
  change: build.change ?? "",
  version: String(build.version),
});

export function buildTyped(fields: BuildFields, typed: Typed): BuildDraft {
  const basedOn = typed.basedOn || null;
  const candidate = {
    ...thingTyped(all(fields), typed),
    name: (typed.name ?? "").trim(),
    basedOn,
    change: basedOn === null ? null : (typed.change ?? "").trim() || null,
  };
  return read(buildDraft, candidate, "The build");
}
