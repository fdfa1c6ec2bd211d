import { Act, Button } from "../../html/act.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { type Choice, ChoiceField, Fields } from "../../html/field.tsx";

type Props = Readonly<{
  title: string;
  action: string;
  name: string;
  label: string;
  value: string;
  choices: readonly Choice[];
}>;

/** The same page of another thing, where there is another. */
export const Another = ({ title, action, choices, ...field }: Props) =>
  choices.length < 2 ? null : (
    <Entry>
      <Fold title={title}>
        <form method="get" action={action}>
          <Fields>
            <ChoiceField {...field} scope="other" choices={choices} required />
          </Fields>
          <Act>
            <Button>Show it</Button>
          </Act>
        </form>
      </Fold>
    </Entry>
  );
