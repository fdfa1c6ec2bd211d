import { evidenceClockMhz } from "../../bench/frontier/evidence.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { outcomes, outcomeWords } from "../../bench/things/outcome.ts";
import { isSetByClock } from "../../bench/things/setting.ts";
import { clockWords } from "../../bench/things/words.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields, TextField } from "../../html/field.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { AttemptFieldset } from "../attemptForm/attemptFieldset.tsx";
import { asSetTyped, ceilingWords } from "../attemptForm/attemptTyped.ts";
import { fieldGroups } from "../attemptForm/formFields.ts";
import { ClockUnit, unitsOfBuild, useClockUnit } from "../kit/clockUnit.ts";
import type { PageContext } from "../kit/context.ts";
import { voltageAsTyped } from "../kit/fieldWords.ts";
import type { FormState } from "../kit/forms.ts";
import { LogForm } from "../kit/logForm.tsx";
import { OnceField } from "../kit/once.tsx";
import { OutcomeMark } from "../kit/outcomeMark.tsx";
import { PictureStrip } from "../kit/pictureStrip.tsx";
import { voltageTyped } from "../kit/quantityTyped.ts";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { SlowerOffer } from "../kit/slowerOffer.tsx";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { AttemptFacts } from "./facts.tsx";
import { GaveWayList } from "./gaveWay.tsx";
import { EditHistory } from "./history.tsx";
import type { AttemptShown } from "./shown.ts";

export const attemptPage = (context: PageContext, shown: AttemptShown): string =>
  pageHtml(
    <Document title={`Attempt ${settingWords(shown.attempt, shown.chip)}`} frame={frameOf(context, "bench")}>
      <ClockUnit.Provider value={shown.chip?.clockUnit ?? "MHz"}>
        <AttemptEntries shown={shown} />
      </ClockUnit.Provider>
    </Document>,
  );

const AttemptEntries = ({ shown }: { shown: AttemptShown }) => {
  const { attempt, edits, workloads } = shown;
  const isRunning = attempt.outcome === "running";
  return (
    <>
      <Entry aside={<Where shown={shown} />}>
        <Answer heading={<SettingInWords {...attempt} units={shown.chip} />}>
          <OutcomeMark outcome={attempt.outcome} />
          {attempt.durationS ? ` after ${formatDuration(attempt.durationS)}` : ""}
        </Answer>
        {attempt.setAside ? (
          <Note>
            <p>
              Set aside, so no answer looks at it: {attempt.setAside.reason} (
              <Moment at={attempt.setAside.at} />
              ).
            </p>
          </Note>
        ) : null}
        <SpeaksOf attempt={attempt} clockUnit={useClockUnit()} />
        <SlowerOffer attempt={attempt} work={shown.work} once={shown.form.typed.once} />
        {attempt.note ? <p class="prose note-text">{attempt.note}</p> : null}
        <Ways shown={shown} />
      </Entry>
      <Entry aside={<b>What is known</b>}>
        <AttemptFacts shown={shown} />
        {shown.output === null ? null : (
          <Fold title="What its load printed" keep="printed">
            <pre class="printed" tabindex={0}>
              {shown.output}
            </pre>
          </Fold>
        )}
        <PictureStrip thing="attempts" id={attempt.id} pictures={shown.pictures} />
      </Entry>
      {isRunning || shown.hasTrace ? null : (
        <Entry aside={<b>Sensor log</b>}>
          <Fold title="Read the log that was written during this run" keep="log">
            <LogForm attempt={attempt} />
          </Fold>
        </Entry>
      )}
      {isRunning ? null : (
        <Entry aside={<b>Correct it</b>}>
          <EditForm shown={shown} />
        </Entry>
      )}
      {isRunning ? null : (
        <Entry aside={<b>Leave it out</b>}>
          <SetAside shown={shown} />
        </Entry>
      )}
      <Entry id="history" aside={<b>History</b>}>
        <EditHistory edits={edits} chip={shown.chip} createdAt={attempt.createdAt} workloads={workloads} />
        <GaveWayList id={attempt.id} gaveWay={shown.gaveWay} />
      </Entry>
    </>
  );
};

/** A run that did not reach its setting counts at what it reached. */
const SpeaksOf = ({ attempt, clockUnit }: { attempt: Attempt; clockUnit: Chip["clockUnit"] }) => {
  if (!isSetByClock(attempt)) return null;
  const clockMhz = evidenceClockMhz(attempt);
  if (clockMhz === attempt.clockMhz || attempt.clockMode === "boost") return null;
  const set = clockWords(attempt.clockMhz, clockUnit);
  return (
    <p class="prose">
      {clockMhz === null
        ? `It was held back at a clock nobody read, so it says nothing of ${set}.`
        : `Under load it ran at ${clockWords(clockMhz, clockUnit)}: it counts there, and says nothing of the ${set} that were set.`}
    </p>
  );
};

const Where = ({ shown: { attempt, build } }: { shown: AttemptShown }) => (
  <div class="who">
    {build ? (
      <p>
        <b>
          <a href={paths.build(build.id)}>{build.name}</a>
        </b>
      </p>
    ) : null}
    <p class="parts">
      <Moment at={attempt.startedAt} />
    </p>
    <p>
      <a href={paths.bench({ build: attempt.buildId })}>to the bench</a>
    </p>
  </div>
);

const Ways = ({ shown: { attempt, chip, hasTrace } }: { shown: AttemptShown }) => (
  <Act>
    {attempt.outcome === "running" ? (
      <ButtonLink first href={paths.bench({ build: attempt.buildId })}>
        It is running: to the bench
      </ButtonLink>
    ) : (
      <ButtonLink
        href={paths.bench({
          build: attempt.buildId,
          ...(chip && asSetTyped(attempt, chip)),
          workloadId: attempt.workloadId,
        })}
      >
        Try this again
      </ButtonLink>
    )}
    <ButtonLink href={paths.heatRun(attempt.id)}>{hasTrace ? "Its heat run" : "Add a sensor log"}</ButtonLink>
  </Act>
);

const ended = outcomes.filter((outcome) => outcome !== "running");

const EditForm = ({ shown: { attempt, chip, form, workloads } }: { shown: AttemptShown }) => (
  <Fold title="Correct what was written down" keep="edit" open={form.refused !== null}>
    <RefusalNote refused={form.refused} />
    <form method="post" action={paths.attempt(attempt.id)} data-guard noValidate>
      <OnceField once={form.typed.once} />
      <input type="hidden" name="version" value={form.typed.version ?? attempt.version} />
      <Fields>
        <ChoiceField
          name="outcome"
          label="How it ended"
          required
          value={form.typed.outcome}
          choices={ended.map((value) => ({ value, title: outcomeWords[value] }))}
          error={form.refused?.fields.outcome}
        />
      </Fields>
      {fieldGroups.map((group) => (
        <AttemptFieldset key={group} group={group} form={form} workloads={workloads} />
      ))}
      <CeilingConfirmed form={form} chip={chip} />
      <Act>
        <Button first>Keep the correction</Button>
      </Act>
    </form>
  </Fold>
);

/** After the refusal of a setting above a ceiling the same form may be sent again with this. */
const CeilingConfirmed = ({ form, chip }: { form: FormState; chip: Chip | undefined }) => {
  if (chip === undefined || !form.refused?.message.includes("ceiling")) return null;
  const words = ceilingWords(form.typed, chip);
  const isVoltage = words === null || /^[\d.]+ V lies/.test(words);
  const meantMv = voltageTyped(form.typed.voltageMv) ?? Number.NaN;
  return (
    <Note>
      <p class="field check">
        <input
          type="checkbox"
          id="field-aboveCeiling"
          name="aboveCeiling"
          value={isVoltage ? form.typed.voltageMv : words}
        />
        <label for="field-aboveCeiling">
          {isVoltage
            ? `${voltageAsTyped(meantMv, form.typed.voltageMv)} is meant`
            : `${words}: that is meant`}
        </label>
      </p>
    </Note>
  );
};

const SetAside = ({ shown: { attempt, setAsideForm } }: { shown: AttemptShown }) => (
  <>
    {attempt.setAside ? (
      <form method="post" action={paths.putBack(attempt.id)}>
        <p class="prose">It stays in the journal, visibly, and counts for nothing until it is put back.</p>
        <Act>
          <Button>Put it back</Button>
        </Act>
      </form>
    ) : (
      <form method="post" action={paths.setAside(attempt.id)} noValidate>
        <Fields>
          <TextField
            name="reason"
            label="Why set it aside"
            required
            maxlength={500}
            value={setAsideForm.typed.reason}
            hint="It stays in the journal, visibly, and no answer looks at it."
            error={setAsideForm.refused?.fields.reason}
          />
        </Fields>
        <Act>
          <Button>Set it aside</Button>
        </Act>
      </form>
    )}
    <form method="post" action={paths.deletion("attempts", attempt.id)}>
      <Act>
        <Button>Delete it</Button>
        <span class="quiet">It can be brought back within the day.</span>
      </Act>
    </form>
  </>
);

/** A deleted attempt, found by its old address. */
export const deletedPage = (context: PageContext, attempt: Attempt): string =>
  pageHtml(
    <Document title="Deleted" frame={frameOf(context, "bench")}>
      <Entry>
        <Answer heading="This attempt was deleted">
          {settingWords(attempt, unitsOfBuild(context.journal, attempt.buildId))},{" "}
          {outcomeWords[attempt.outcome]}. It can be brought back within the day.
        </Answer>
        <form method="post" action={paths.restoration("attempts", attempt.id)}>
          <Act>
            <Button first>Bring it back</Button>
            <ButtonLink href={paths.bench({ build: attempt.buildId })}>To the bench</ButtonLink>
          </Act>
        </form>
      </Entry>
    </Document>,
  );
