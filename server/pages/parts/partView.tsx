import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { RefusalNote } from "../../html/note.tsx";
import { ClockUnit } from "../kit/clockUnit.ts";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { ThingFields } from "../kit/thingFields.tsx";
import { type HistoryShown, ThingHistory } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";
import { axisField, offsetFields, placeFields, unitFields } from "./chipSetting.ts";
import { KnobFields } from "./knobForm.tsx";
import { boardFields, chipFields, workloadFields } from "./partFields.ts";
import type { Part, PartKind } from "./partKinds.ts";
import type { PartUse } from "./partUses.ts";
import { RuleFields } from "./ruleForm.tsx";
import { Uses } from "./view.tsx";

const fieldsOf = {
  chips: chipFields.flatMap((field) => (field.name === "kind" ? [field, axisField] : field)),
  boards: boardFields,
  workloads: workloadFields,
} as const;

export type PartShown = Readonly<{
  kind: PartKind;
  /** Null while it is being added. */
  part: Part | null;
  form: FormState;
  uses: readonly PartUse[];
  /** Why it always stays; null for parts that may go. */
  stays: string | null;
  workloads: readonly Workload[];
  history: HistoryShown | null;
}>;

export const PartPage = ({ frame, shown }: { frame: Frame; shown: PartShown }) => {
  const { kind, part, form } = shown;
  const heading = part === null ? `${withArticle(kind.one)} to write down` : part.name;
  return (
    <Document title={heading} frame={frame}>
      <ClockUnit.Provider value={form.typed.clockUnit === "MT/s" ? "MT/s" : "MHz"}>
        <Entry aside={<a href={paths.parts()}>all parts</a>}>
          <Answer heading={capitalised(heading)} />
          <RefusalNote refused={form.refused} />
          <form
            method="post"
            id="part"
            action={part === null ? paths.newPart(kind.path) : paths.part(kind.path, part.id)}
            data-guard
            noValidate
          >
            <OnceField once={form.typed.once} />
            {part === null ? null : <input type="hidden" name="version" value={form.typed.version} />}
            {kind.path === "rules" ? (
              <RuleFields form={form} workloads={shown.workloads} />
            ) : (
              <ThingFields fields={fieldsOf[kind.path]} form={form} />
            )}
            {kind.path === "chips" ? <ChipSettingFields form={form} /> : null}
            <Act>
              <Button first>{part === null ? `Add the ${kind.one}` : "Save"}</Button>
              <ButtonLink href={paths.parts()}>Back to the parts</ButtonLink>
            </Act>
          </form>
        </Entry>
      </ClockUnit.Provider>
      <ThingHistory history={shown.history} />
      {part === null ? null : <Deletion shown={shown} part={part} />}
    </Document>
  );
};

const ChipSettingFields = ({ form }: { form: FormState }) => (
  <>
    <ThingFields fields={offsetFields} form={form} more="Set by an offset" />
    <ThingFields fields={unitFields} form={form} more="Units, model and modules" />
    <ThingFields fields={placeFields} form={form} more="Temperatures by place" />
    <KnobFields form={form} />
  </>
);

const withArticle = (one: string): string => `${/^[aeiou]/.test(one) ? "an" : "a"} ${one}`;
const capitalised = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** What is still needed is not offered for deletion; what would have to go first is said instead. */
const Deletion = ({ shown: { kind, uses, stays }, part }: { shown: PartShown; part: Part }) => (
  <Entry>
    <h2>Delete it</h2>
    {stays !== null ? (
      <p>{stays}</p>
    ) : uses.length > 0 ? (
      <p>
        It stays while it is used by <Uses uses={uses} />.
      </p>
    ) : (
      <form method="post" action={paths.deletion(kind.path, part.id)}>
        <p>Nothing uses it. Once deleted, it can come back within the day.</p>
        <Act>
          <Button>Delete the {kind.one}</Button>
        </Act>
      </form>
    )}
  </Entry>
);
