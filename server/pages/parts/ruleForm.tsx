import type { Requirement, Rule } from "../../bench/things/rule.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button } from "../../html/act.tsx";
import { CheckField, ChoiceField, Fields, NumberField } from "../../html/field.tsx";
import { kinds } from "../kit/attemptKinds.ts";
import { type FormState, type Typed, textTyped } from "../kit/forms.ts";
import { quantityTyped } from "../kit/quantityTyped.ts";
import { ThingInput } from "../kit/thingFields.tsx";
import { ruleNameField } from "./partFields.ts";

const mostRows = 20;

/** How many rows the form shows: those typed, and one more where it was asked for. */
function rowsOf(typed: Typed): number {
  const count = Number(typed.rows ?? 1);
  const known = Number.isInteger(count) ? Math.min(Math.max(count, 1), mostRows) : 1;
  return typed.act === "another" ? Math.min(known + 1, mostRows) : known;
}

/** A rule in its form: one row for each requirement, named by place. */
export function ruleWritten(rule: Rule): Typed {
  const rows = rule.requires.flatMap((wanted, i) => Object.entries(rowWritten(wanted, i)));
  return { name: rule.name, rows: String(rule.requires.length), ...Object.fromEntries(rows) };
}

const rowWritten = (wanted: Requirement, i: number): Typed => ({
  [`workload-${i}`]: wanted.workloadId ?? "",
  [`duration-${i}`]: kinds.duration.write(wanted.durationS),
  [`errors-${i}`]: wanted.correctedErrors === 0 ? "true" : "",
  [`cold-${i}`]: countWritten(wanted.coldStarts),
  [`trainings-${i}`]: countWritten(wanted.trainings),
  [`cycles-${i}`]: countWritten(wanted.cycles),
});

const countWritten = (count: number | null | undefined): string => (count == null ? "" : String(count));

/** The rule as typed; a row with a blank duration is left out, unless it is the only one. */
export function ruleTyped(typed: Typed): Record<string, unknown> {
  const places = placesTyped(typed);
  return { name: textTyped(typed.name) ?? "", requires: places.map((i) => rowTyped(typed, i)) };
}

const placesTyped = (typed: Typed): number[] => {
  const all = Array.from({ length: rowsOf(typed) }, (_, i) => i);
  const filled = all.filter((i) => textTyped(typed[`duration-${i}`]) !== null);
  return filled.length > 0 ? filled : [0];
};

function rowTyped(typed: Typed, i: number): Record<string, unknown> {
  const workloadId = textTyped(typed[`workload-${i}`]);
  return {
    ...(workloadId === null ? { anyWorkload: true } : { workloadId }),
    durationS: kinds.duration.read(typed[`duration-${i}`]),
    correctedErrors: typed[`errors-${i}`] === "true" ? 0 : null,
    coldStarts: quantityTyped(typed[`cold-${i}`], { "": 1 }),
    trainings: quantityTyped(typed[`trainings-${i}`], { "": 1 }),
    cycles: quantityTyped(typed[`cycles-${i}`], { "": 1 }),
  };
}

const places: Readonly<Record<string, string>> = {
  workloadId: "workload",
  durationS: "duration",
  correctedErrors: "errors",
  coldStarts: "cold",
  trainings: "trainings",
  cycles: "cycles",
};

/** Words about `requires.1.durationS` belong beside the field `duration-…` of the row it came from. */
export function fieldInForm(field: string, typed: Typed): string {
  const [, at, of = "durationS"] = /^requires(?:\.(\d+))?(?:\.(\w+))?/.exec(field) ?? [];
  if (!field.startsWith("requires")) return field;
  return `${places[of] ?? "duration"}-${placesTyped(typed)[Number(at ?? 0)] ?? 0}`;
}

type Props = Readonly<{ form: FormState; workloads: readonly Workload[] }>;

export const RuleFields = ({ form, workloads }: Props) => {
  const rows = rowsOf(form.typed);
  return (
    <>
      <Fields>
        <ThingInput field={ruleNameField} form={form} />
      </Fields>
      <input type="hidden" name="rows" value={String(rows)} />
      {Array.from({ length: rows }, (_, i) => (
        <RequirementFields key={i} i={i} form={form} workloads={workloads} />
      ))}
      {rows < mostRows ? (
        <Act>
          <Button name="act" value="another">
            Require one more
          </Button>
        </Act>
      ) : null}
    </>
  );
};

const RequirementFields = ({ i, form, workloads }: Props & { i: number }) => {
  const of = (field: string) => ({
    name: `${field}-${i}`,
    value: form.typed[`${field}-${i}`],
    error: form.refused?.fields[`${field}-${i}`],
  });
  return (
    <Fields legend={i === 0 ? "A setting counts once it has passed" : "and"}>
      <ChoiceField
        {...of("workload")}
        label="Load"
        none="any, but not an idle one"
        choices={workloads
          .filter(({ kind }) => kind !== "idle")
          .map(({ id, name }) => ({ value: id, title: name }))}
      />
      <NumberField
        {...of("duration")}
        label="For at least"
        unit="min"
        required
        {...(i > 0 ? { hint: "Left blank, this row is not kept." } : {})}
      />
      <NumberField {...of("cold")} label="Started cold at least so many times" />
      <NumberField
        {...of("trainings")}
        label="Trained in full at least so many times"
        hint="Of memory: each full training is a fresh draw."
      />
      <NumberField {...of("cycles")} label="Cycles of a memory test in each" />
      <CheckField
        {...of("errors")}
        value="true"
        checked={form.typed[`errors-${i}`] === "true"}
        label="With no corrected errors"
      />
    </Fields>
  );
};
