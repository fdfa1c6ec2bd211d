import { isAutomatic, type KnobValue, knobValueWords } from "./asSet.ts";
import type { KeptFields } from "./attemptFields.ts";
import type { Chip } from "./chip.ts";
import type { Knob } from "./knob.ts";
import type { FieldRefusals } from "./refusal.ts";
import { offsetWords } from "./setting.ts";

type AsRead = Pick<
  KeptFields,
  "clockMhz" | "voltageMv" | "offset" | "offsets" | "part" | "crashPart" | "knobs"
>;

/** What a chip cannot be set to, each in a sentence beside its field; empty where all is well. */
export const settingRefusals = (set: AsRead, chip: Chip): FieldRefusals => ({
  ...(chip.axis === "offset" ? offsetRefusals(set, chip) : clockRefusals(set, chip)),
  ...gridRefusal(set, chip),
  ...partRefusals(set, chip),
  ...knobRefusals(set.knobs, chip.knobs),
});

function clockRefusals({ clockMhz, voltageMv, offset, offsets }: AsRead, chip: Chip): FieldRefusals {
  const refused: Record<string, string> = {};
  if (clockMhz === null) refused.clockMhz = `The clock must be a number in ${chip.clockUnit}.`;
  if (voltageMv === null && !chip.automaticVoltage) refused.voltageMv = "The voltage must be a number in mV.";
  const words = `${chip.name} is set by clock and voltage. To log offsets, say on its page that it is set by offset.`;
  if (offset !== null) refused.offset = words;
  if (offsets !== null) refused.offsets = words;
  return refused;
}

function offsetRefusals({ offset, offsets }: AsRead, chip: Chip): FieldRefusals {
  if (offset === null && offsets === null)
    return { offset: `Say the offset of ${chip.name}${inUnit(chip)}; 0 where it was left as it is.` };
  const refused: Record<string, string> = {};
  if (offset !== null) Object.assign(refused, rangeRefusal("offset", offset, chip));
  for (const value of Object.values(offsets ?? {}))
    Object.assign(refused, rangeRefusal("offsets", value, chip));
  return refused;
}

const inUnit = ({ offset }: Chip): string => (offset ? ` in ${offset.unit}` : "");

function rangeRefusal(field: string, value: number, chip: Chip): FieldRefusals {
  const { low = null, high = null } = chip.offset ?? {};
  if ((low === null || value >= low) && (high === null || value <= high)) return {};
  const [from, to] = [low, high].map((end) => (end === null ? "no end" : offsetWords(end, chip)));
  return {
    [field]: `The offset of ${chip.name} goes from ${from} to ${to}, not to ${offsetWords(value, chip)}.`,
  };
}

function gridRefusal({ clockMhz }: AsRead, { clockGrid, clockUnit }: Chip): FieldRefusals {
  if (clockMhz === null || clockGrid.length === 0 || clockGrid.includes(clockMhz)) return {};
  const near = [...clockGrid].sort((a, b) => Math.abs(a - clockMhz) - Math.abs(b - clockMhz)).slice(0, 2);
  return {
    clockMhz: `There is no ${clockMhz} ${clockUnit} on this chip's grid; near it: ${near.join(" and ")}.`,
  };
}

function partRefusals({ part, crashPart, offsets }: AsRead, { parts }: Chip): FieldRefusals {
  if (parts.length === 0) return {};
  const known = new Set(parts.map(({ name }) => name));
  const unknown = (called: string): string =>
    `This chip has no part called ${called}; its parts are ${[...known].slice(0, 12).join(", ")}${known.size > 12 ? " …" : ""}.`;
  const refused: Record<string, string> = {};
  if (part !== null && !known.has(part)) refused.part = unknown(part);
  if (crashPart !== null && !known.has(crashPart)) refused.crashPart = unknown(crashPart);
  for (const called of Object.keys(offsets ?? {})) if (!known.has(called)) refused.offsets = unknown(called);
  return refused;
}

function knobRefusals(said: AsRead["knobs"], knobs: readonly Knob[]): FieldRefusals {
  for (const [id, value] of Object.entries(said ?? {})) {
    const knob = knobs.find((one) => one.id === id);
    if (!knob)
      return { [`knobs.${id}`]: `This chip has no knob called ${id}; add it on the chip's page first.` };
    const words = knobRefusal(knob, value);
    if (words !== null) return { [`knobs.${id}`]: words };
  }
  return {};
}

function knobRefusal({ name, unit, choices }: Knob, value: KnobValue): string | null {
  if (isAutomatic(value)) return null;
  if (choices.length > 0)
    return choices.includes(String(value)) ? null : `${name} is one of: ${choices.join(", ")}, auto.`;
  return typeof value === "number" ? null : `${name} must be a number${unit ? ` in ${unit}` : ""}, or auto.`;
}

/** Above which ceilings a setting lies, in words without a full stop; null where it lies above none. */
export function ceilingPassed(
  { voltageMv, knobs }: Pick<AsRead, "voltageMv" | "knobs">,
  { voltageCeilingMv: ceilingMv, knobs: known }: Chip,
): Readonly<{ words: string; details: Readonly<Record<string, unknown>> }> | null {
  const isOver = ceilingMv !== null && voltageMv !== null && voltageMv > ceilingMv;
  const over = known.flatMap(({ id, name, unit, ceiling }) => {
    const value = knobs !== null && Object.hasOwn(knobs, id) ? (knobs[id] as KnobValue) : null;
    if (ceiling === null || value === null || cameTo(value) <= ceiling) return [];
    const behind = unit ? ` ${unit}` : "";
    const words = `${name} at ${knobValueWords(value)}${behind} lies above its ceiling of ${ceiling}${behind}`;
    return [{ id, words }];
  });
  const words = [
    ...(isOver
      ? [`${voltageMv / 1000} V lies above the ceiling of ${ceilingMv / 1000} V set for this chip`]
      : []),
    ...over.map(({ words: ofKnob }) => ofKnob),
  ];
  if (words.length === 0) return null;
  const details = {
    ...(isOver && { ceilingMv }),
    ...(over.length > 0 && { knobs: over.map(({ id }) => id) }),
  };
  return { words: words.join("; "), details };
}

/** A knob left to the board lies above its ceiling too, once it was read what it came to. */
const cameTo = (value: KnobValue): number => {
  const position = typeof value === "object" ? value.auto : value;
  return typeof position === "number" ? position : Number.NEGATIVE_INFINITY;
};
