import type { Rule } from "../../bench/things/rule.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button } from "../../html/act.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";

type Props = Readonly<{
  action: string;
  rules: readonly Rule[];
  workloads: readonly Workload[];
  ruleId: string;
  workloadId: string | null;
  /** Values that stay as they are. */
  kept?: Readonly<Record<string, string>>;
}>;

/** By which rule, under which load: the two things every answer about a limit depends on. */
export const QuestionForm = ({ action, rules, workloads, ruleId, workloadId, kept = {} }: Props) => (
  <form method="get" action={action}>
    {Object.entries(kept).map(([name, value]) => (
      <input key={name} type="hidden" name={name} value={value} />
    ))}
    <Fields>
      <ChoiceField
        name="rule"
        label="Judged by"
        value={ruleId}
        choices={rules.map(({ id, name }) => ({ value: id, title: name }))}
        required
      />
      <ChoiceField
        name="workload"
        label="Under"
        value={workloadId ?? ""}
        none="any load"
        hint="A heavier load speaks for a lighter one."
        choices={workloads
          .filter(({ kind }) => kind !== "idle")
          .map(({ id, name }) => ({ value: id, title: name }))}
      />
    </Fields>
    <Act>
      <Button>Look again</Button>
    </Act>
  </form>
);
