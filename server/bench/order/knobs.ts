import { isAutomatic, type KnobValue, type KnobValues } from "../things/asSet.ts";
import { type Knob, knobAt } from "../things/knob.ts";

/** What the order needs of a knob. The usual value of a window is its middle. */
export type OrderedKnob = Pick<Knob, "id" | "harder" | "belongs" | "usual">;

/** What the order needs of an attempt to place it among the knobs. */
export type KnobsAsSet = Readonly<{
  knobs: KnobValues | null;
  /** Two knobs left to the board stand alike only at one clock under one firmware. */
  clockMhz: number | null;
  firmware: string | null;
}>;

/** All knobs that belong to the setting at once, by their ids. Attempts in one group stand alike in every one of them. */
export type KnobGroup = Readonly<{
  /** Counted from nothing, as the groups of one order came. */
  index: number;
  set: KnobValues;
  values: readonly Standing[];
}>;

/** A value as it compares: a number by its direction, anything else by equality alone. */
type Standing = number | string;

export type KnobOrder = Readonly<{
  groupOf: (set: KnobsAsSet) => KnobGroup;
  /** Whether one group is as hard as another or harder, in every knob. */
  isAsHard: (group: KnobGroup, than: KnobGroup) => boolean;
}>;

export function knobOrderOf(knobs: readonly OrderedKnob[]): KnobOrder {
  const counted = knobs.filter(({ belongs }) => belongs === "setting");
  const root: Branch = { next: new Map(), group: null };
  let groups = 0;
  return {
    groupOf: (set) => {
      let at = root;
      for (let i = 0; i < counted.length; i++) {
        const value = knobAt(counted[i]!, set.knobs);
        at = branchOf(at, typeof value === "number" ? value : standingOf(value, set));
      }
      at.group ??= groupFrom(counted, set, groups++);
      return at.group;
    },
    isAsHard: (group, than) => {
      if (group === than) return true;
      const [own, other] = [group.values, than.values];
      for (let i = 0; i < counted.length; i++)
        if (own[i] !== other[i] && !isKnobHarder(counted[i]!, own[i]!, other[i]!)) return false;
      return true;
    },
  };
}

/** Groups lie at the ends of branches, one fork a knob, so that telling them apart makes no text. */
type Branch = { next: Map<Standing, Branch>; group: KnobGroup | null };

function branchOf({ next }: Branch, standing: Standing): Branch {
  const known = next.get(standing);
  if (known !== undefined) return known;
  const branch: Branch = { next: new Map(), group: null };
  next.set(standing, branch);
  return branch;
}

function groupFrom(counted: readonly OrderedKnob[], set: KnobsAsSet, index: number): KnobGroup {
  const values: Standing[] = [];
  const told: Record<string, KnobValue> = {};
  for (const knob of counted) {
    const value = knobAt(knob, set.knobs);
    values.push(standingOf(value, set));
    told[knob.id] = toldOf(value);
  }
  return { index, set: told, values };
}

/** One left to the board is told as what it came to, where that is known. */
const toldOf = (value: KnobValue): KnobValue => (typeof value === "object" ? value.auto : value);

function standingOf(value: KnobValue, { clockMhz, firmware }: KnobsAsSet): Standing {
  if (typeof value === "object") return value.auto;
  return isAutomatic(value) ? `auto at ${clockMhz} under ${firmware}` : value;
}

/** Of two values that are not alike. */
function isKnobHarder({ harder, usual }: OrderedKnob, value: Standing, than: Standing): boolean {
  if (typeof value !== "number" || typeof than !== "number") return false;
  switch (harder) {
    case "up":
      return value > than;
    case "down":
      return value < than;
    case "window":
      return typeof usual === "number" && isFurtherOut(value - usual, than - usual);
    case "none":
      return false;
  }
}

/** Further from the middle on the same side; the middle itself is the easiest on both. */
const isFurtherOut = (off: number, than: number): boolean =>
  than === 0 || (Math.sign(off) === Math.sign(than) && Math.abs(off) >= Math.abs(than));
