import type { Chip } from "../../bench/things/chip.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { CheckField, Fields, NumberField } from "../../html/field.tsx";
import { Note, RefusalNote } from "../../html/note.tsx";
import { AttemptFieldset, isGroupUsed } from "../attemptForm/attemptFieldset.tsx";
import { ceilingWords } from "../attemptForm/attemptTyped.ts";
import { isAppliedBySoftware } from "../kit/asSetSaid.ts";
import { voltageAsTyped } from "../kit/fieldWords.ts";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { PursuitFields } from "../kit/pursuit.tsx";
import { voltageTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";
import { pursuitOf } from "./advised.ts";
import { AppliedAgain, AsSetChecks, tapNames } from "./asSetTaps.tsx";
import { SameAgain } from "./contestedView.tsx";
import { ProposedField } from "./dialled.tsx";
import { levelProposed, ProposedLevelField } from "./dialledLevel.tsx";
import { Forecast } from "./forecast.tsx";
import { Otherwise, skipAddress } from "./otherwise.tsx";
import { FaultButtons, RarerFaults } from "./outcomeButtons.tsx";
import { MoreKnobs, SettingDials } from "./settingDials.tsx";
import type { BuildAtBench, Notice, Trying } from "./shown.ts";
import { keptOnFailure, posts } from "./swaps.ts";

export type TryFormProps = Readonly<{
  trying: Trying;
  shown: BuildAtBench;
  workloads: readonly Workload[];
  /** Sent with the form, so that a second tap records nothing twice. */
  once: string;
  /** What was kept last and may still be typed about, if it is shown. */
  kept: Extract<Notice, { kept: unknown }> | null;
}>;

/** The form that records an attempt: its heat, the dials, the buttons, and whatever else may be said of it. */
export const TryForm = ({ trying, shown: { build, chip }, workloads, once, kept }: TryFormProps) => {
  const { form, heat, last, dropped } = trying;
  const address = paths.attempts(build.id);
  const isAsked = isCeilingAsked(chip, form);
  return (
    <form
      method="post"
      action={address}
      id="try"
      hx-get={paths.heatForecast()}
      hx-trigger="change delay:60ms"
      hx-target="#forecast"
      hx-swap="outerHTML"
      hx-sync="this:replace"
      {...keptOnFailure}
      noValidate
    >
      <SentAlong buildId={build.id} trying={trying} once={once} kept={kept} />
      <ForecastSubmit />
      <Forecast heat={heat} isAsked={isAsked} isForeseen={chip.axis === "clock"} />
      {isAsked ? null : <RefusalNote refused={form.refused} />}
      <SettingDials chip={chip} form={form} workloads={workloads} last={last} />
      <AboveCeiling chip={chip} form={form} />
      <AppliedAgain chip={chip} form={form} dropped={dropped} />
      <ArmOrPassed address={address} />
      {kept?.contested && !kept.contested.wasRepeated ? (
        <Act>
          <SameAgain notice={kept} />
        </Act>
      ) : null}
      <UpOrPast trying={trying} />
      <AsSetChecks chip={chip} form={form} dropped={dropped} />
      <Otherwise trying={trying} chip={chip} />
      <EndedFold form={form} address={address} chip={chip} />
      <MoreKnobs chip={chip} form={form} last={last} />
      <MoreFold form={form} chip={chip} />
    </form>
  );
};

/** What goes along unseen: the build, what the tester is after, and what was proposed. */
const SentAlong = ({
  buildId,
  trying: { asked, advice },
  once,
  kept,
}: Pick<TryFormProps, "trying" | "once" | "kept"> & Readonly<{ buildId: string }>) => {
  const proposedLevel = levelProposed(advice);
  return (
    <>
      <input type="hidden" name="build" value={buildId} />
      <OnceField once={once} />
      {kept ? <input type="hidden" name="keptBefore" value={kept.kept.id} /> : null}
      <PursuitFields pursuit={pursuitOf(asked)} />
      {"missing" in advice.proposal ? null : <ProposedField proposed={advice.proposal} />}
      {proposedLevel === null ? null : <ProposedLevelField proposed={proposedLevel} />}
    </>
  );
};

const ArmOrPassed = ({ address }: { address: string }) => (
  <Act beside>
    <Button first letter="a" typing="Ctrl ↵" name="outcome" value="running" more={posts(address, "arm")}>
      Arm this attempt
    </Button>
    <Button letter="p" name="outcome" value="pass" more={posts(address, "passed")}>
      It passed already
    </Button>
  </Act>
);

/** The ways to another proposal: one step higher, or past this one. */
const UpOrPast = ({ trying }: { trying: Trying }) => {
  const { stepUp } = trying;
  const skip = skipAddress(trying);
  return stepUp || skip ? (
    <Act beside>
      {stepUp ? (
        <ButtonLink letter="u" href={stepUp}>
          One step up
        </ButtonLink>
      ) : null}
      {skip ? (
        <ButtonLink letter="s" href={skip}>
          Skip this one
        </ButtonLink>
      ) : null}
    </Act>
  ) : null;
};

/** The button that Enter presses: it asks and records nothing. Seen only where no script asks by itself. */
const ForecastSubmit = () => (
  <button class="without-script" type="submit" formmethod="get" formaction={paths.bench()}>
    Show the heat forecast
  </button>
);

const wrong = (form: FormState, name: string) => form.refused?.fields[name];

/** Asked for after a refusal, and only for the setting that was refused. */
const isCeilingAsked = (chip: Chip, { typed, refused }: FormState): boolean =>
  refused !== null && Object.keys(refused.fields).length === 0 && ceilingWords(typed, chip) !== null;

const AboveCeiling = ({ chip, form }: { chip: Chip; form: FormState }) => {
  const words = isCeilingAsked(chip, form) ? ceilingWords(form.typed, chip) : null;
  if (words === null) return null;
  const voltageMv = voltageTyped(form.typed.voltageMv);
  const isVoltage = voltageMv !== null && chip.voltageCeilingMv !== null && voltageMv > chip.voltageCeilingMv;
  const said = (mv: number | null): string => (mv === null ? "" : voltageAsTyped(mv, form.typed.voltageMv));
  return (
    <div role="alert">
      <Note>
        <p>
          Nothing was recorded yet.{" "}
          {isVoltage
            ? `${said(voltageMv)} is above the ceiling of ${said(chip.voltageCeilingMv)} that you set for ${chip.name}.`
            : `${words}.`}{" "}
          Raised voltage and heat shorten a chip's life and may void its warranty. It is yours to decide, and
          your answer is kept with the attempt. <a href={paths.cautions()}>What to mind</a>
        </p>
        <CheckField
          name="aboveCeiling"
          value={isVoltage ? String(voltageMv) : words}
          label={`${isVoltage ? said(voltageMv) : "That"} is meant; then press the button again`}
        />
      </Note>
    </div>
  );
};

const EndedFold = ({ form, address, chip }: { form: FormState; address: string; chip: Chip }) => (
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
      <FaultButtons address={address} keys={false} scope="log" chip={chip} />
      <Button name="outcome" value="stopped" more={posts(address, "log-stopped")}>
        Stopped, no fault
      </Button>
      <Button name="outcome" value="pass" more={posts(address, "log-pass")}>
        Passed
      </Button>
    </div>
    <RarerFaults address={address} scope="log" chip={chip} />
  </Fold>
);

const groups = ["heat", "electric", "conduct", "times", "words"] as const;
const carriedNames: ReadonlySet<string> = new Set(["ambientC", "fanMode"]);

/** What was carried over from the attempt before is named, and opens nothing. */
const MoreFold = ({ form, chip }: { form: FormState; chip: Chip }) => {
  const shown = chip.kind === "memory" ? (["memory", ...groups] as const) : groups;
  const said = Object.entries(form.typed).filter(([name]) => !carriedNames.has(name));
  const besides = { ...form, typed: Object.fromEntries(said) };
  const tapped = isAppliedBySoftware(chip) ? tapNames : undefined;
  return (
    <Fold title={moreTitle(form)} keep="more" open={shown.some((group) => isGroupUsed(group, besides))}>
      {shown.map((group) => (
        <AttemptFieldset key={group} group={group} form={form} without={tapped} />
      ))}
    </Fold>
  );
};

const moreTitle = ({ typed: { ambientC, fanMode } }: FormState): string => {
  const carried = [ambientC ? `room ${ambientC} °C` : "", fanMode ? `fans ${fanMode}` : ""].filter(Boolean);
  return carried.length === 0 ? "More about it" : `More about it: ${carried.join(", ")}`;
};
