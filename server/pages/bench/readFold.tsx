import type { Attempt } from "../../bench/things/attempt.ts";
import type { AttemptFieldName } from "../../bench/things/attemptFields.ts";
import type { Chip } from "../../bench/things/chip.ts";
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

const readNames = ["ambientC", "loadTempC", "peakTempC", "loadVoltageMv", "powerW", "note"] as const;

/** What is read off an attempt of this chip: of one set by offset its clock and voltage too, of a memory its test. */
const namesFor = (chip: Chip): readonly AttemptFieldName[] => [
  ...(chip.axis === "offset" ? (["clockMhz", "voltageMv"] as const) : []),
  ...readNames.slice(0, -1),
  ...(Object.keys(chip.limits).length > 0 ? (["temps"] as const) : []),
  ...(chip.kind === "memory" ? (["training", "starts", "cycles", "coveragePct", "errors"] as const) : []),
  ...(chip.appliedBy === "software" ? (["settingReadBack"] as const) : []),
  "note",
];

/** Goes along in every form of the bench. */
export type Sent = Readonly<{ pursuit: Pursuit; once: string; chip: Chip }>;

export const SentFields = ({ pursuit, once }: Omit<Sent, "chip">) => (
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
        {namesFor(sent.chip).flatMap((name) => {
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
