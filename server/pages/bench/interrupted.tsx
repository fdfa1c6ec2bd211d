import type { Interrupted } from "../../answers/interrupted.ts";
import { Act, Button } from "../../html/act.tsx";
import { Entry, EntryHeading, Fold } from "../../html/entry.tsx";
import { Fields, fieldId, NumberField } from "../../html/field.tsx";
import { formatDuration, formatElapsed } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { OnceField } from "../kit/once.tsx";
import { SettingInWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { EndingForm, RunAside } from "./endingForm.tsx";
import { FailedBetween } from "./failedBetween.tsx";
import { FaultButtons, RarerFaults } from "./outcomeButtons.tsx";
import type { InterruptedShown } from "./shown.ts";
import { posts } from "./swaps.ts";

type Props = Readonly<{ shown: InterruptedShown; first: boolean; loadName: string; once: string }>;

/** An attempt that was running when the server stopped. How it ended is for the tester to say. */
export const InterruptedEntry = ({ shown, first, loadName, once }: Props) => {
  const { attempt, units, buildName, form } = shown;
  const address = paths.ending(attempt.id);
  return (
    <Entry
      aside={
        <RunAside buildName={buildName}>
          <p>
            armed <Moment at={attempt.startedAt} />
          </p>
        </RunAside>
      }
    >
      <EntryHeading first={first}>
        How did <SettingInWords {...attempt} units={units} /> end?
      </EntryHeading>
      <p class="lead">
        It was running{loadName ? ` under ${loadName}` : ""} when this program stopped
        {attempt.plannedS === null ? "" : `, planned for ${formatDuration(attempt.plannedS)}`}.{" "}
        <SignOfLife attempt={attempt} />
      </p>
      <EndingForm attempt={attempt} chip={units} form={form} once={once}>
        <Fields>
          <NumberField
            name="durationS"
            scope={attempt.id}
            label="It ran for"
            unit="min"
            value={form.typed.durationS ?? offered(attempt)}
            hint={
              attempt.lastHeartbeat
                ? "The last sign of life; change it if you know better."
                : "Minutes, or 90 s, 3:24, 1 h 5 min: as far as you know."
            }
            error={form.refused?.fields.durationS}
          />
          <div data-seen={attempt.id} data-for={fieldId("durationS", attempt.id)} hidden />
        </Fields>
        <div class="outcomes">
          <FaultButtons address={address} keys={first} scope={attempt.id} chip={units} />
          <Button name="outcome" value="stopped" more={posts(address)} {...(first ? { letter: "x" } : {})}>
            Stopped, no fault
          </Button>
          <Button name="outcome" value="pass" more={posts(address)} {...(first ? { letter: "p" } : {})}>
            Passed
          </Button>
        </div>
        <RarerFaults address={address} scope={attempt.id} chip={units} />
        <Fold title="It failed between two times" open={form.refused?.fields.failedFromS !== undefined}>
          <FailedBetween form={form} scope={attempt.id} />
        </Fold>
      </EndingForm>
      <form method="post" action={paths.resumption(attempt.id)}>
        <OnceField once={once} />
        <Act>
          <Button more={posts(paths.resumption(attempt.id))}>It is still running</Button>
        </Act>
      </form>
    </Entry>
  );
};

const offered = ({ lastHeartbeat }: Interrupted): string =>
  lastHeartbeat ? formatElapsed(lastHeartbeat.elapsedS) : "";

const SignOfLife = ({ attempt: { lastHeartbeat } }: { attempt: Interrupted }) =>
  lastHeartbeat ? (
    <>
      Last sign of life: <b>{formatElapsed(lastHeartbeat.elapsedS)}</b>, at{" "}
      <Moment at={lastHeartbeat.at} form="clock" />.
    </>
  ) : (
    <>The machine gave no sign of life.</>
  );
