import type { Chip } from "../../bench/things/chip.ts";
import { Button } from "../../html/act.tsx";
import { Entry, EntryHeading, Fold } from "../../html/entry.tsx";
import { formatCount } from "../../html/format.ts";
import type { Pursuit } from "../kit/pursuit.tsx";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { AttendedPiece } from "./attended.tsx";
import type { AttendedShown } from "./attendedShown.ts";
import { EndingForm, RunAside } from "./endingForm.tsx";
import { FailedBetween, RanFor } from "./failedBetween.tsx";
import { LivePiece } from "./live.tsx";
import { FaultButtons } from "./outcomeButtons.tsx";
import type { Running } from "./shown.ts";
import { posts } from "./swaps.ts";

type Props = Readonly<{
  running: Running;
  attended: AttendedShown;
  chip: Chip;
  loadName: string;
  buildName: string;
  first: boolean;
  pursuit: Pursuit;
  once: string;
}>;

/** A run that the machine under test tells of itself: how far it is, and a tap that ends it. */
export const AttendedEntry = ({
  running,
  attended,
  chip,
  loadName,
  buildName,
  first,
  pursuit,
  once,
}: Props) => {
  const { attempt, form } = running;
  const address = paths.ending(attempt.id);
  const name = attended.attendant?.name ?? "";
  return (
    <Entry
      aside={
        <RunAside buildName={buildName}>
          <p>
            <a href={paths.attempt(attempt.id)}>open it</a>
          </p>
        </RunAside>
      }
    >
      <EntryHeading first={first} class="running" data-arrival={`${settingWords(attempt, chip)} is running.`}>
        <SettingInWords {...attempt} units={chip} />
        {loadName ? ` under ${loadName}` : ""}
      </EntryHeading>
      <AttendedPiece attended={attended} />
      <EndingForm attempt={attempt} chip={chip} form={form} once={once} pursuit={pursuit}>
        <Button wide letter="x" name="outcome" value="stopped" more={posts(address, "stop-it")}>
          Stop it
        </Button>
        <p class="line">
          {errorsInWords(attended)} If the machine dies, {name} says when, once it is back.
        </p>
        <Fold title="It went otherwise" open={form.refused !== null}>
          <RanFor form={form} scope="end" />
          <div class="outcomes">
            <FaultButtons address={address} keys={false} scope="end" chip={chip} />
          </div>
          <FailedBetween form={form} scope="end" />
        </Fold>
      </EndingForm>
      <Printing attended={attended} />
      <LivePiece live={running.live} />
    </Entry>
  );
};

function errorsInWords({ beat }: AttendedShown): string {
  const counts = beat?.correctedErrors ?? null;
  if (counts === null) return "";
  const total =
    typeof counts === "number" ? counts : Object.values(counts).reduce((sum, one) => sum + one, 0);
  return total === 0 ? "No corrected errors so far." : `${formatCount(total, "corrected error")} so far.`;
}

const Printing = ({ attended }: { attended: AttendedShown }) => {
  const printing = attended.attendant?.printing;
  return printing ? (
    <Fold title="What the load prints" keep="printing">
      <pre class="printed" tabindex={0}>
        {printing}
      </pre>
    </Fold>
  ) : null;
};
