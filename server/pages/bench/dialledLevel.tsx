import type { Advice } from "../../answers/advice.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { isSearched, type SearchedKnob } from "../../bench/scale/knobSearch.ts";
import { levelInWords } from "../../bench/scale/scaleWords.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { formatDuration } from "../../html/format.ts";
import { kinds } from "../kit/attemptKinds.ts";
import type { Typed } from "../kit/forms.ts";
import { knobField } from "../kit/knobTyped.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { plannedTyped } from "./dials.ts";

/** A value of an offset or of a knob; without a value, the list that names one for each part. */
type LevelSet = Readonly<{ knob: string | null; part: string | null; level: number | null }>;

/** As the form takes it along, so that turned dials can be told apart from it. */
type LevelProposed = LevelSet &
  Readonly<{ durationS: number; workloadId: string; chanceOfPass: number | null }>;

/** What the dials stand at, beside what is proposed, where an offset or a knob is looked along. */
export type DialledLevel = Readonly<{
  words: string;
  proposed: Readonly<{ words: string; durationS: number; chanceOfPass: number | null }> | null;
  isAsProposed: boolean;
  plannedS: number | null;
}>;

const proposedLevelField = "proposedLevel";

/** Null where neither an offset nor a knob is proposed. */
export function levelProposed({
  byOffset,
  byKnob,
}: Pick<Advice, "byOffset" | "byKnob">): LevelProposed | null {
  const next = byKnob?.next ?? byOffset;
  if (next == null || !("durationS" in next)) return null;
  const { durationS, workloadId, chanceOfPass } = next;
  const basics = { durationS, workloadId: workloadId ?? "", chanceOfPass };
  if ("level" in next) return { ...basics, knob: byKnob?.knob.id ?? null, part: null, level: next.level };
  const { part, offset, offsets } = next;
  return { ...basics, knob: null, part, level: part === null ? offset : (offsets?.[part] ?? null) };
}

/** Goes along unseen in the form. */
export const ProposedLevelField = ({ proposed }: { proposed: LevelProposed }) => {
  const { knob, part, level, durationS, workloadId, chanceOfPass } = proposed;
  const parts = [knob, part, level, durationS, workloadId, chanceOfPass];
  const written = parts.map((one) => encodeURIComponent(one ?? "")).join("@");
  return <input type="hidden" name={proposedLevelField} value={written} />;
};

/** Null where the form named none that can be read. */
function levelProposedIn(typed: Typed, chip: Chip): LevelProposed | null {
  const [knob = "", part = "", level = "", duration, workloadId = "", chance = ""] = (
    typed[proposedLevelField] ?? ""
  )
    .split("@")
    .map(decoded);
  const [durationS, value, chanceOfPass] = [Number(duration), Number(level), Number(chance)];
  const isKnown =
    (knob === "" || chip.knobs.some(({ id }) => id === knob)) &&
    (part === "" || chip.parts.some(({ name }) => name === part));
  if (!isKnown || !(durationS > 0) || !Number.isFinite(durationS) || !Number.isFinite(value)) return null;
  return {
    ...{ knob: knob || null, part: part || null, level: level === "" ? null : value },
    ...{ durationS, workloadId, chanceOfPass: chanceOfPass > 0 && chanceOfPass <= 1 ? chanceOfPass : null },
  };
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return "";
  }
}

/** What the dials stand at; null where they name no value that can be read. */
function levelSetIn(typed: Typed, chip: Chip, knobId: string | null): LevelSet | null {
  const part = (knobId === null && chip.parts.find(({ name }) => name === typed.part)?.name) || null;
  if (knobId === null && typed.offsets && part === null) return { knob: null, part, level: null };
  const level = kinds.offset.read(typed[knobId === null ? "offset" : knobField(knobId)]);
  const told = level ?? listedOf(typed, part);
  return typeof told !== "number" || Number.isNaN(told) ? null : { knob: knobId, part, level: told };
}

/** Where the dial is blank, a part stands as the list has it. */
const listedOf = ({ offsets }: Typed, part: string | null): unknown => {
  const listed = kinds.byPart.read(offsets) as Readonly<Record<string, unknown>> | null;
  return part !== null && listed !== null && Object.hasOwn(listed, part) ? listed[part] : null;
};

/** "Power limit 105 %". */
export const knobLevelWords = ({ name, unit, usual }: SearchedKnob, level: number): string =>
  levelInWords({ name, unit, usual: usual === 0 ? 0 : 1 }, level);

function levelWords({ knob: id, part, level }: LevelSet, chip: Chip): string {
  if (level === null) return "all parts at the list";
  const knob = chip.knobs.filter(isSearched).find((one) => one.id === id);
  return knob
    ? knobLevelWords(knob, level)
    : settingWords({ clockMhz: null, voltageMv: null, part, offset: level, offsets: null }, chip);
}

/** Null where the dials name nothing and nothing is proposed. */
export function dialledLevel(
  typed: Typed,
  chip: Chip,
  knobId: string | null,
  proposed: LevelProposed | null,
): DialledLevel | null {
  const set = levelSetIn(typed, chip, knobId);
  const told = set ?? proposed;
  if (told === null) return null;
  const plannedS = plannedTyped(typed);
  const isAsProposed =
    proposed !== null &&
    (set === null ||
      (set.part === proposed.part &&
        set.level === proposed.level &&
        plannedS === proposed.durationS &&
        (typed.workloadId ?? "") === proposed.workloadId));
  return {
    words: levelWords(told, chip),
    proposed: proposed && { ...proposed, words: levelWords(proposed, chip) },
    isAsProposed,
    plannedS,
  };
}

/** The same of a form that was sent to ask. */
export const dialledLevelIn = (typed: Typed, chip: Chip): DialledLevel | null => {
  const proposed = levelProposedIn(typed, chip);
  const isByLevel = chip.axis === "offset" || proposed !== null;
  return isByLevel ? dialledLevel(typed, chip, proposed?.knob ?? null, proposed) : null;
};

type Piece = Readonly<{ dialled: DialledLevel; swap?: boolean }>;

const swaps = (swap: boolean | undefined) => (swap ? { "hx-swap-oob": "true" } : {});

/** The value on the dials, for the heading above them. */
export const LevelOnDials = ({ dialled, swap }: Piece) => (
  <span id="dialled" {...swaps(swap)}>
    {dialled.words}
  </span>
);

/** How long it runs, and how likely it passes; of dials turned elsewhere, what was proposed. */
export const LevelTime = ({ dialled: { proposed, isAsProposed, plannedS }, swap }: Piece) => {
  const odds = proposed?.chanceOfPass == null ? "" : `; it passes ${chanceInWords(proposed.chanceOfPass)}`;
  const forS = isAsProposed ? (proposed?.durationS ?? null) : plannedS;
  return (
    <span id="dialled-for" {...swaps(swap)}>
      {forS === null ? null : (
        <>
          For <b>{formatDuration(forS)}</b>
          {isAsProposed ? odds : ""}.
        </>
      )}
      {proposed === null || isAsProposed
        ? ""
        : ` Proposed: ${proposed.words}, ${formatDuration(proposed.durationS)}.`}
    </span>
  );
};
