import { Refusal } from "../../bench/things/refusal.ts";
import { isId } from "../../bench/things/units.ts";
import type { UnitsOfForm } from "./fieldWords.ts";
import { type FormState, formAfter, type Typed } from "./forms.ts";

const isStale = (error: unknown): boolean =>
  error instanceof Refusal && error.code === "conflict" && "current" in error.extra;

/**
 * The form after a refused edit. Where somebody else changed the thing meanwhile, what it now says stands beside each
 * field that differs, and pressing again is meant knowing that; any other refusal still expects the version first read.
 */
export function formAfterEdit(
  error: unknown,
  typed: Typed,
  standing: () => Typed,
  units: UnitsOfForm | null = null,
): FormState {
  if (!isStale(error)) return formAfter(error, typed, units);
  const now = standing();
  const differing = Object.keys(typed).filter(
    (name) =>
      name !== "version" &&
      Object.hasOwn(now, name) &&
      (typed[name] ?? "").trim() !== (now[name] ?? "").trim(),
  );
  return {
    typed: { ...typed, version: now.version },
    refused: {
      message:
        "This was changed elsewhere since it was read, and nothing was saved. Beside each field that differs stands what it says now; press again to keep what you typed.",
      fields: Object.fromEntries(differing.map((name) => [name, saysNow(now[name])])),
    },
  };
}

function saysNow(value: string | undefined): string {
  const words = (value ?? "").trim();
  if (words === "") return "It is blank now.";
  return isId(words) ? "Something else is chosen now." : `It now says “${words}”.`;
}
