import type { ComponentChildren } from "preact";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { RefusalNote } from "../../html/note.tsx";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { type Pursuit, PursuitFields } from "../kit/pursuit.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { NothingOnEnter } from "./outcomeButtons.tsx";

type Props = Readonly<{
  attempt: Attempt;
  chip: Chip | undefined;
  form: FormState;
  once: string;
  /** What goes along to the attempt after this one. */
  pursuit?: Pursuit;
  children: ComponentChildren;
}>;

/** Says how a run ended; a tap on it is kept while nobody answers. */
export const EndingForm = ({ attempt, chip, form, once, pursuit, children }: Props) => (
  <>
    <RefusalNote refused={form.refused && { message: form.refused.message }} />
    <form method="post" action={paths.ending(attempt.id)} data-owed={settingWords(attempt, chip)}>
      <NothingOnEnter />
      {pursuit === undefined ? null : <PursuitFields pursuit={pursuit} />}
      <OnceField once={once} />
      {children}
    </form>
  </>
);

/** Beside a run: the build that it goes on, and what is known of it there. */
export const RunAside = ({ buildName, children }: { buildName: string; children: ComponentChildren }) => (
  <div class="who">
    <p>
      <b>{buildName}</b>
    </p>
    {children}
  </div>
);
