import type { BuildAnswer } from "../../answers/answerOf.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { ChoiceDial, Dial, Dials } from "../../html/dial.tsx";
import { Fold } from "../../html/entry.tsx";
import { CheckField, Fields, NumberField } from "../../html/field.tsx";
import { formatMilli } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import { AttemptFieldset, isGroupUsed, workloadChoices } from "../attemptForm/attemptFieldset.tsx";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { PursuitFields } from "../kit/pursuit.tsx";
import { voltageTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";
import { pursuitOf } from "./advised.ts";
import { AnswerAbove, AnswerSoFar, isDone } from "./answered.tsx";
import { Forecast } from "./forecast.tsx";
import { Otherwise, OtherwiseForms, skipAddress } from "./otherwise.tsx";
import { FaultButtons } from "./outcomeButtons.tsx";
import { Proposed } from "./proposed.tsx";
import type { BuildShown, Trying } from "./shown.ts";
import { posts } from "./swaps.ts";

type Props = Readonly<{
  trying: Trying;
  shown: BuildShown;
  workloads: readonly Workload[];
  first: boolean;
  /** Sent with the form, so that a second tap records nothing twice. */
  once: string;
  /** What was kept last and may still be typed about, if it is shown. */
  keptBefore: string | null;
  answer: BuildAnswer;
}>;

/** What to try now: the proposal with its reason, its heat, the dials, and the button that arms. */
export const TryingBody = ({ trying, shown, workloads, first, once, keptBefore, answer }: Props) => {
  const { build, chip } = shown;
  const { form, heat } = trying;
  const address = paths.attempts(build.id);
  const skip = skipAddress(trying);
  return (
    <>
      <AnswerAbove build={build} answer={answer} trying={trying} first={first} />
      <Proposed trying={trying} answer={answer} first={first && !isDone(answer, trying)} />
      {isDone(answer, trying) ? null : <AnswerSoFar buildId={build.id} answer={answer} />}
      {workloads.length === 0 ? (
        <Act>
          <ButtonLink first href={paths.newPart("workloads")}>
            Write down a load
          </ButtonLink>
        </Act>
      ) : (
        <form
          method="post"
          action={address}
          id="try"
          hx-get={paths.heatForecast()}
          hx-trigger="change delay:60ms"
          hx-target="#forecast"
          hx-swap="outerHTML"
          hx-sync="this:replace"
          noValidate
        >
          <input type="hidden" name="build" value={build.id} />
          <OnceField once={once} />
          {keptBefore ? <input type="hidden" name="keptBefore" value={keptBefore} /> : null}
          <PursuitFields pursuit={pursuitOf(trying.asked)} />
          <ForecastSubmit />
          <Forecast heat={heat} isAsked={isCeilingAsked(chip, form)} />
          {isCeilingAsked(chip, form) ? null : <RefusalNote refused={form.refused} />}
          <SettingDials chip={chip} form={form} workloads={workloads} />
          <AboveCeiling chip={chip} form={form} />
          <Act beside>
            <Button first letter="a" name="outcome" value="running" more={posts(address, "arm")}>
              Arm this attempt
            </Button>
            <Button letter="p" name="outcome" value="pass" more={posts(address, "passed")}>
              It passed already
            </Button>
          </Act>
          {trying.stepUp || skip ? (
            <Act beside>
              {trying.stepUp ? (
                <ButtonLink letter="u" href={trying.stepUp}>
                  One step up
                </ButtonLink>
              ) : null}
              {skip ? (
                <ButtonLink letter="s" href={skip}>
                  Skip this one
                </ButtonLink>
              ) : null}
            </Act>
          ) : null}
          <Otherwise trying={trying} />
          <EndedFold form={form} address={address} />
          <MoreFold form={form} />
        </form>
      )}
      {trying.asked.aim === "voltage" && !workloads.some(({ kind }) => kind === "transition") ? (
        <NoSwitchingLoad isSaid={isSwitchingAsked(trying)} />
      ) : null}
      <OtherwiseForms trying={trying} />
    </>
  );
};

/** The button that Enter presses: it asks and records nothing. Seen only where no script asks by itself. */
const ForecastSubmit = () => (
  <button class="without-script" type="submit" formmethod="get" formaction={paths.bench()}>
    Show the heat forecast
  </button>
);

/** Said where a low voltage is looked for, since a steady load proves it too little. */
const NoSwitchingLoad = ({ isSaid }: { isSaid: boolean }) => (
  <Note kind="plain">
    {isSaid
      ? ""
      : "Low voltages fail first where the load switches on and off, and no such load is written down. "}
    <a href={paths.newPart("workloads")}>Write down a load that switches</a>, of the kind “transition”.
  </Note>
);

const isSwitchingAsked = ({ advice: { proposal } }: Trying): boolean =>
  proposal.because.includes("no such load is written down");

const wrong = (form: FormState, name: string) => form.refused?.fields[name];

type DialsProps = Readonly<{ chip: Chip; form: FormState; workloads: readonly Workload[] }>;

const SettingDials = ({ chip, form, workloads }: DialsProps) => (
  <Dials>
    <Dial
      name="clockMhz"
      label="Clock"
      unit="MHz"
      value={form.typed.clockMhz ?? ""}
      step={chip.clockStepMhz}
      origin={chip.stockClockMhz ?? 0}
      min={1}
      max={20_000}
      letters={["-", "+"]}
      error={wrong(form, "clockMhz")}
    />
    <Dial
      name="voltageMv"
      label="Voltage"
      unit="V"
      value={form.typed.voltageMv ?? ""}
      step={chip.voltageStepMv / 1000}
      origin={(chip.stockVoltageMv ?? 0) / 1000}
      min={0.1}
      max={3}
      decimals={3}
      error={wrong(form, "voltageMv")}
    />
    <Dial
      name="plannedS"
      label="For"
      unit="min"
      value={form.typed.plannedS ?? ""}
      step={5}
      min={0}
      max={43_200}
      error={wrong(form, "plannedS")}
    />
    <ChoiceDial
      name="workloadId"
      label="Load"
      value={form.typed.workloadId}
      choices={workloadChoices(workloads)}
      error={wrong(form, "workloadId")}
    />
  </Dials>
);

/** Asked for after a refusal, and only for the voltage that was refused. */
function isCeilingAsked({ voltageCeilingMv }: Chip, { typed, refused }: FormState): boolean {
  const voltageMv = voltageTyped(typed.voltageMv);
  const isAbove = voltageMv !== null && voltageCeilingMv !== null && voltageMv > voltageCeilingMv;
  return isAbove && refused !== null && Object.keys(refused.fields).length === 0;
}

const AboveCeiling = ({ chip, form }: { chip: Chip; form: FormState }) => {
  if (!isCeilingAsked(chip, form)) return null;
  const voltageMv = voltageTyped(form.typed.voltageMv);
  return (
    <div role="alert">
      <Note>
        <p>
          Nothing was recorded yet. {formatMilli(voltageMv)} V is above the ceiling of{" "}
          {formatMilli(chip.voltageCeilingMv)} V that you set for {chip.name}. Raised voltage and heat shorten
          a chip's life and may void its warranty. It is yours to decide, and your answer is kept with the
          attempt. <a href={paths.cautions()}>What to mind</a>
        </p>
        <CheckField
          name="aboveCeiling"
          value={String(voltageMv)}
          label={`${formatMilli(voltageMv)} V is meant; then press the button again`}
        />
      </Note>
    </div>
  );
};

const EndedFold = ({ form, address }: { form: FormState; address: string }) => (
  <Fold title="It has already ended" keep="ended" open={wrong(form, "durationS") !== undefined}>
    <Fields>
      <NumberField
        name="durationS"
        label="It ran for"
        unit="min"
        value={form.typed.durationS}
        hint="Minutes, or 90 s, 3:24, 1 h 5 min. A pass left blank ran as long as planned."
        error={wrong(form, "durationS")}
      />
    </Fields>
    <div class="outcomes">
      <FaultButtons address={address} keys={false} scope="log" />
      <Button name="outcome" value="stopped" more={posts(address, "log-stopped")}>
        Stopped, no fault
      </Button>
      <Button name="outcome" value="pass" more={posts(address, "log-pass")}>
        Passed
      </Button>
    </div>
  </Fold>
);

const groups = ["heat", "electric", "conduct", "times", "words"] as const;

const MoreFold = ({ form }: { form: FormState }) => (
  <Fold title="More about it" keep="more" open={groups.some((group) => isGroupUsed(group, form))}>
    {groups.map((group) => (
      <AttemptFieldset key={group} group={group} form={form} />
    ))}
  </Fold>
);
