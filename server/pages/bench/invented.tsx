import { Act, Button } from "../../html/act.tsx";
import { Entry } from "../../html/entry.tsx";
import { type Pursuit, PursuitFields } from "../kit/pursuit.tsx";
import { paths } from "../paths.ts";

type Props = Readonly<{ buildId: string; pursuit: Pursuit }>;

/** In the demo a machine that does not exist can attend a build whose processor is set by clock and voltage. */
export const InventedMachine = ({ buildId, pursuit }: Props) => (
  <Entry aside={<b>In this demo</b>}>
    <p>
      An invented machine can attend this build. A minute of its time passes each second; after each run
      invented hands set what this page proposes and start it anew; at times it dies. What is asked is one tap
      an attempt.
    </p>
    <form method="post" action={paths.inventedMachine()}>
      <input type="hidden" name="build" value={buildId} />
      <PursuitFields pursuit={pursuit} />
      <Act>
        <Button>Let it attend</Button>
      </Act>
    </form>
  </Entry>
);
