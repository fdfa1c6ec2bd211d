import type { Attempt } from "../../bench/things/attempt.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields } from "../../html/field.tsx";
import { AttemptFieldInput } from "../attemptForm/attemptFieldset.tsx";
import { typedFrom } from "../attemptForm/attemptTyped.ts";
import { fieldNamed } from "../attemptForm/formFields.ts";
import { freshForm } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { type Pursuit, PursuitFields } from "../kit/pursuit.tsx";
import { paths } from "../paths.ts";
import { posts } from "./swaps.ts";

const readNames = ["ambientC", "loadTempC", "peakTempC", "loadVoltageMv", "powerW", "note"];

/** Goes along in every form of the bench. */
export type Sent = Readonly<{ pursuit: Pursuit; once: string }>;

export const SentFields = ({ pursuit, once }: Sent) => (
  <>
    <PursuitFields pursuit={pursuit} />
    <OnceField once={once} />
  </>
);

type Props = Sent &
  Readonly<{
    attempt: Attempt;
    title: string;
    /** Keeps its fields apart from those of another attempt on the page. */
    scope: string;
  }>;

/** Room for what was read off an attempt, while it runs or after. */
export const ReadFold = ({ attempt, title, scope, ...sent }: Props) => (
  <Fold title={title} keep="read">
    <form method="post" action={paths.attempt(attempt.id)} data-typed>
      <input type="hidden" name="back" value="bench" />
      <SentFields {...sent} />
      <Fields>
        {readNames.flatMap((name) => {
          const field = fieldNamed(name);
          const form = freshForm(typedFrom(attempt));
          return field ? [<AttemptFieldInput key={name} field={field} form={form} scope={scope} />] : [];
        })}
      </Fields>
      <Act>
        <Button more={posts(paths.attempt(attempt.id), `${scope}-kept`)}>Keep what was read</Button>
      </Act>
    </form>
  </Fold>
);
