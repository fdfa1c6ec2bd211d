import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { Button } from "../../html/act.tsx";
import { Entry, EntryHeading, Fold } from "../../html/entry.tsx";
import { CheckField } from "../../html/field.tsx";
import { formatDuration, formatElapsed } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { Timer } from "../../html/timer.tsx";
import type { Pursuit } from "../kit/pursuit.tsx";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { AsSetTaps } from "./asSetTaps.tsx";
import { AttendedPiece } from "./attended.tsx";
import type { AttendedShown } from "./attendedShown.ts";
import { EndingForm, RunAside } from "./endingForm.tsx";
import { FailedBetween, RanFor } from "./failedBetween.tsx";
import { LivePiece } from "./live.tsx";
import { FaultButtons, RarerFaults } from "./outcomeButtons.tsx";
import { ReadFold } from "./readFold.tsx";
import type { Running } from "./shown.ts";
import { posts } from "./swaps.ts";

type Props = Readonly<{
  running: Running;
  chip: Chip;
  attended: AttendedShown;
  now: string;
  loadName: string;
  buildName: string;
  first: boolean;
  pursuit: Pursuit;
  once: string;
}>;

/** A run in progress: how far it is, and one tap for how it ended. */
export const RunningEntry = ({
  running,
  chip,
  attended,
  now,
  loadName,
  buildName,
  first,
  pursuit,
  once,
}: Props) => {
  const { attempt, form } = running;
  const { plannedS } = attempt;
  return (
    <Entry
      aside={
        <RunAside buildName={buildName}>
          <p>
            armed <Moment at={attempt.startedAt} form="clock" />
          </p>
          <p>
            <a href={paths.attempt(attempt.id)}>open it</a>
          </p>
        </RunAside>
      }
    >
      <EntryHeading first={first} class="running">
        <SettingInWords {...attempt} units={chip} /> {loadName ? `under ${loadName}` : ""}
      </EntryHeading>
      <Timer
        name="run"
        startedAt={attempt.startedAt}
        now={now}
        plannedS={plannedS}
        heartbeats={`/api/attempts/${attempt.id}/heartbeats`}
        sighting={attempt.id}
        arrival={`${settingWords(attempt, chip)} is running.`}
      >
        <p>{plannedS === null ? "No end was planned." : `of ${formatElapsed(plannedS)} planned`}</p>
      </Timer>
      <AttendedPiece attended={attended} />
      <EndingForm attempt={attempt} chip={chip} form={form} once={once} pursuit={pursuit}>
        <EndButtons attempt={attempt} chip={chip} now={now} />
        <Fold title="It ended earlier than now" open={form.refused !== null}>
          <RanFor form={form} scope="end" />
          <FailedBetween form={form} scope="end" />
        </Fold>
        <RarerFaults address={paths.ending(attempt.id)} scope="end" chip={chip} />
      </EndingForm>
      <AsSetTaps attempt={attempt} chip={chip} pursuit={pursuit} once={once} scope="running" />
      <ReadFold
        attempt={attempt}
        chip={chip}
        pursuit={pursuit}
        once={once}
        title="Add a reading"
        scope="reading"
      />
      <LivePiece live={running.live} />
      <Kept plannedS={plannedS} />
    </Entry>
  );
};

/** Until the planned time is up the run can only be stopped; from then on it has passed. */
const EndButtons = ({ attempt, chip, now }: { attempt: Attempt; chip: Chip; now: string }) => {
  const address = paths.ending(attempt.id);
  const { plannedS } = attempt;
  const isOver = plannedS !== null && Date.parse(now) - Date.parse(attempt.startedAt) >= 1000 * plannedS;
  return (
    <div class="outcomes">
      <div class="place" data-before-planned={plannedS === null ? undefined : ""} hidden={isOver}>
        <Button first wide letter="x" name="outcome" value="stopped" more={posts(address, "end-stopped")}>
          Stopped, no fault
        </Button>
      </div>
      {plannedS === null ? null : (
        <div class="place" data-after-planned hidden={!isOver}>
          <Button first wide letter="p" name="outcome" value="pass" more={posts(address, "end-pass")}>
            Passed
          </Button>
          <Button wide letter="o" name="ranOn" value="pass" more={posts(address, "end-ran-on")}>
            Passed, and the load ran on until now
          </Button>
        </div>
      )}
      <FaultButtons address={address} keys scope="end" chip={chip} />
    </div>
  );
};

const Kept = ({ plannedS }: { plannedS: number | null }) => (
  <div class="prose after-acts">
    <p>
      {plannedS === null
        ? ""
        : `At ${formatDuration(plannedS)} the first button becomes “Passed”, which records the planned time. `}
      If this machine goes down, the attempt is kept: the next start asks how it ended.
    </p>
    <div class="needs-script">
      <CheckField
        name="machine"
        label="This page runs on the machine under test"
        hint="Leave it open: its last sign of life is then offered as the time to failure. On another device leave this unticked, for that device goes on when the bench has frozen."
        more={{ "data-machine": true }}
      />
    </div>
    <p class="without-script">
      Without script this page keeps no signs of life, so after a crash you will be asked how long it ran.
      Load the page again to see the time.
    </p>
  </div>
);
