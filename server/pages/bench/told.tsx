import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { type Outcome, outcomeWords } from "../../bench/things/outcome.ts";
import { Button } from "../../html/act.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { OnceField } from "../kit/once.tsx";
import { type Pursuit, PursuitFields } from "../kit/pursuit.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { FaultButtons, NothingOnEnter, RarerFaults } from "./outcomeButtons.tsx";
import { posts } from "./swaps.ts";

type Props = Readonly<{ attempt: Attempt; chip: Chip; teller: string; pursuit: Pursuit; once: string }>;

/** What most likely happened besides, one tap away. */
const likelier: Readonly<Partial<Record<Outcome, readonly (readonly [Outcome, string])[]>>> = {
  died: [
    ["freeze", "It froze"],
    ["restart", "It restarted"],
    ["power-cut", "The power went"],
  ],
  "app-closed": [["wrong-result", "It computed wrongly"]],
};

/** How the machine itself says that a run ended, with the way to say otherwise. */
export const ToldEntry = ({ attempt, chip, teller, pursuit, once }: Props) => {
  const address = paths.correction(attempt.id);
  const words = toldWords(attempt);
  return (
    <Entry>
      <Note kind="done" arrival={`${words}, told by ${teller}.`}>
        <p class="told">
          <b>{words}</b>, <a href={paths.attempt(attempt.id)}>{settingWords(attempt, chip)}</a>, told by{" "}
          {teller}.
          {attempt.outcome === "stopped" && attempt.loadProved === false
            ? " That it loaded was not proved."
            : ""}
        </p>
        <form method="post" action={address} class="after">
          <NothingOnEnter />
          <PursuitFields pursuit={pursuit} />
          <OnceField once={once} />
          {(likelier[attempt.outcome] ?? []).map(([outcome, said]) => (
            <Button key={outcome} name="outcome" value={outcome} more={posts(address, `likelier-${outcome}`)}>
              {said}
            </Button>
          ))}
          <Fold title="Correct">
            <div class="outcomes">
              <Button name="outcome" value="pass" more={posts(address, "correct-pass")}>
                Passed
              </Button>
              <Button name="outcome" value="stopped" more={posts(address, "correct-stopped")}>
                Stopped, no fault
              </Button>
              <FaultButtons address={address} keys={false} scope="correct" chip={chip} />
            </div>
            <RarerFaults address={address} scope="correct" chip={chip} />
          </Fold>
        </form>
      </Note>
    </Entry>
  );
};

function toldWords({ outcome, durationS }: Attempt): string {
  const said = outcomeWords[outcome];
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}${durationS ? ` after ${formatDuration(durationS)}` : ""}`;
}
