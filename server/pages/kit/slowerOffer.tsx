import type { WorkOfAttempt } from "../../answers/workOfAttempt.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { Button } from "../../html/act.tsx";
import { paths } from "../paths.ts";
import { OnceField } from "./once.tsx";
import { type Pursuit, PursuitFields } from "./pursuit.tsx";

type Props = Readonly<{
  attempt: Attempt;
  work: WorkOfAttempt;
  once: string | undefined;
  pursuit?: Pursuit;
}>;

/** A pass that did less work than easier ones: it may be told as slower in one tap. */
export const SlowerOffer = ({ attempt, work, once, pursuit }: Props) => {
  if (work.suggests === null) return null;
  const address = paths.correction(attempt.id);
  return (
    <form method="post" action={address} class="slower">
      <p class="prose">{work.because}</p>
      {pursuit ? <PursuitFields pursuit={pursuit} /> : null}
      <OnceField once={once} />
      <Button name="outcome" value="slower">
        It ran slower
      </Button>
    </form>
  );
};
