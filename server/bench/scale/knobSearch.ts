import type { OrderedTry } from "../frontier/evidence.ts";
import type { SharpnessPrior } from "../limit/sharpness.ts";
import type { NextQuestion } from "../next/nextAnswer.ts";
import { settingsInDoubt } from "../order/appliedSettings.ts";
import { groupsOf } from "../order/groups.ts";
import { silenceOf } from "../order/loadsThatSpeak.ts";
import { hardnessOf } from "../order/partsOfRun.ts";
import { classOn, orderTermsOf } from "../order/terms.ts";
import type { Use } from "../things/aim.ts";
import type { KnobValue } from "../things/asSet.ts";
import type { Chip } from "../things/chip.ts";
import { type Knob, knobAt } from "../things/knob.ts";
import { type AsSet, offsetOf } from "../things/setting.ts";
import type { Workload } from "../things/workload.ts";
import { type Scale, scaleOfKnob } from "./scale.ts";
import { type ScaleAnswer, scaleAnswerOf } from "./scaleAnswer.ts";
import type { ScaleQuestion } from "./scaleDesk.ts";
import type { LevelRow } from "./scaleFit.ts";
import { type NextOnScale, nextOnScale } from "./scaleNext.ts";

/** How far one knob goes, all else as the latest attempt had it. Plain values, so that it can be handed to a worker. */
export type KnobSearch = Readonly<{
  chip: Chip;
  knobId: string;
  hottestAmbientC: number;
  rows: readonly OrderedTry[];
  workloads: readonly Workload[];
  use: Use;
  workloadId?: string | null;
  minutes?: number | null;
  costs?: NextQuestion["costs"];
  sharpness?: SharpnessPrior;
  seed?: number;
}>;

/** What all else stands at while one knob is searched. */
type AllElse = AsSet & Readonly<{ knobs: Readonly<Record<string, KnobValue>> | null }>;

/** What to try next along a knob, or what it is settled at, and what holds of it so far. */
export type KnobNext = NextOnScale & Readonly<{ allElse: AllElse | null; soFar: ScaleAnswer }>;

/** A knob that can be searched: a number to turn, with a step and one direction. */
export type SearchedKnob = Knob & Readonly<{ step: number; harder: "up" | "down" }>;

export const isSearched = (knob: Knob): knob is SearchedKnob =>
  knob.step !== null && (knob.harder === "up" || knob.harder === "down") && knob.choices.length === 0;

export function knobNextOf(search: KnobSearch): KnobNext {
  const question = knobQuestionOf(search);
  const allElse = allElseOf(search);
  return { ...nextOnScale(question), allElse, soFar: scaleAnswerOf(question) };
}

function allElseOf({ rows }: KnobSearch): AllElse | null {
  const latest = rows.at(-1);
  if (latest === undefined) return null;
  const { clockMhz, voltageMv, offset, offsets, part, knobs } = latest;
  return { clockMhz, voltageMv, offset, offsets, part, knobs };
}

function knobQuestionOf(search: KnobSearch): ScaleQuestion {
  const { chip, hottestAmbientC, workloads, use, workloadId = null, minutes = null } = search;
  const knob = chip.knobs.find(({ id }) => id === search.knobId);
  if (knob === undefined || !isSearched(knob)) throw new RangeError("The knob has no step and direction.");
  const rows = rowsAlong(search, knob);
  return {
    scale: scaleAlong(knob, rows),
    ...{ chip, hottestAmbientC, rows, workloads, use, workloadId, minutes },
    ...(search.costs && { costs: search.costs }),
    ...(search.sharpness && { sharpness: search.sharpness }),
    ...(search.seed !== undefined && { seed: search.seed }),
  };
}

/** Nobody knows what a step of a knob is worth, so that a proposal goes no further beyond what was tried. */
const mostStepsBeyond = 4;

/** Where nobody said what is usual it is the easiest value that was tried; below one step nothing counts down. */
function scaleAlong(
  { name, unit, step, harder, usual, ceiling }: SearchedKnob,
  rows: readonly LevelRow[],
): Scale {
  const tried = rows.map(({ level }) => level);
  const [lowest, highest] = [Math.min(...tried), Math.max(...tried)];
  const from =
    typeof usual === "number" ? usual : tried.length === 0 ? 0 : harder === "up" ? lowest : highest;
  const beyond = mostStepsBeyond * step;
  const scale = scaleOfKnob({ name, unit, step, harder, usual: from, ceiling });
  return harder === "up"
    ? { ...scale, high: Math.min(ceiling ?? Number.POSITIVE_INFINITY, Math.max(from, highest) + beyond) }
    : {
        ...scale,
        low: Math.max(from > 0 ? step : Number.NEGATIVE_INFINITY, Math.min(from, lowest) - beyond),
      };
}

/**
 * What speaks of the knob with all else as in the latest attempt: what survived with all else as hard or harder, what
 * failed with all else as hard or easier.
 */
function rowsAlong({ chip, rows, workloads, workloadId }: KnobSearch, knob: SearchedKnob): LevelRow[] {
  const terms = orderTermsOf(chip);
  const byId = new Map(workloads.map((load) => [load.id, load]));
  const asked = workloadId == null ? null : (byId.get(workloadId) ?? null);
  const inDoubt = settingsInDoubt(rows, terms.appliedBy);
  const others = terms.knobs.filter(({ id }) => id !== knob.id);
  const looked = rows.flatMap((row) => {
    const kind = classOn(terms, row);
    const level = knobAt(knob, row.knobs);
    const value = typeof level === "object" ? level.auto : level;
    const silence = silenceOf(byId.get(row.workloadId), kind, { asked, alongCurve: terms.offset !== null });
    const isSilent = silence !== null || (kind !== "crash" && inDoubt.has(row.id));
    return isSilent || typeof value !== "number" || kind === "nothing"
      ? []
      : [{ row, class: kind, level: value, clockMhz: row.clockMhz, voltageMv: row.voltageMv ?? 0 }];
  });
  const latest = looked.at(-1);
  if (latest === undefined) return [];
  const { order, groupOf } = groupsOf(others, looked);
  const now = groupOf(latest);
  const isAsHard = (one: AsSet, than: AsSet): boolean => isSetAsHard(one, than, terms.offset?.harder ?? null);
  return looked.flatMap((one): LevelRow[] => {
    const group = groupOf(one);
    const speaks =
      one.class === "crash"
        ? order.isAsHard(now, group) && isAsHard(latest.row, one.row)
        : order.isAsHard(group, now) && isAsHard(one.row, latest.row);
    return speaks ? [{ row: one.row, level: one.level }] : [];
  });
}

/** Clock, voltage or offset of one as hard as of another; what was set in another way does not compare. */
function isSetAsHard(one: AsSet, than: AsSet, harder: "up" | "down" | null): boolean {
  if (harder !== null) {
    const [own, other] = [offsetOf(one), offsetOf(than)];
    if ((one.part ?? null) !== (than.part ?? null)) return false;
    if (own === null || other === null) return JSON.stringify(one.offsets) === JSON.stringify(than.offsets);
    return hardnessOf(own, harder) >= hardnessOf(other, harder);
  }
  if (one.clockMhz === null || than.clockMhz === null) return false;
  if (one.voltageMv === null || than.voltageMv === null)
    return one.voltageMv === than.voltageMv && one.clockMhz >= than.clockMhz;
  return one.clockMhz >= than.clockMhz && one.voltageMv <= than.voltageMv;
}
