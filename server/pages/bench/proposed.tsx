import type { Advice, Aim } from "../../answers/benchAdvice.ts";
import type { Setting as SettingTried } from "../../bench/nextAttempt.ts";
import { Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields, NumberField } from "../../html/field.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";
import { Setting } from "../settingWords.tsx";
import { skipWith } from "./advised.ts";
import type { Trying } from "./shown.ts";

/** The attempt to make next, with its reason; what is settled already comes first. */
export const Proposed = ({ trying, first }: { trying: Trying; first: boolean }) => {
  const Heading = first ? "h1" : "h2";
  const { advice } = trying;
  const { proposal } = advice;
  if ("missing" in proposal)
    return (
      <>
        <Heading>
          {proposal.missing === "workload" ? "What will load the chip?" : "Choose a first setting"}
        </Heading>
        <p class="lead">{proposal.because}</p>
      </>
    );
  return (
    <>
      <Heading>
        Next: <Setting {...proposal} /> for {formatDuration(proposal.durationS)}
      </Heading>
      {advice.settled ? <p class="lead">{advice.settled}</p> : null}
      <p class="lead">
        Set these in firmware, then arm. {proposal.because}
        {proposal.expectedMinutes === null ? null : (
          <>
            {" "}
            About <b>{formatDuration(60 * proposal.expectedMinutes)}</b> of bench time.
          </>
        )}
      </p>
      {advice.blocked.filter(isSaidOnlyHere).map((caution) => (
        <Note key={caution}>
          <p>{caution}</p>
        </Note>
      ))}
      <Plan advice={advice} />
      {trying.awaited ? <div data-later={paths.advice(addressOf(trying))} /> : null}
    </>
  );
};

/** The heat forecast before the button says what it has to say of the limit; once is enough. */
const isSaidOnlyHere = (caution: string): boolean => !caution.includes("temperature limit");

/** What would follow if each passes, for as long as the time goes. */
const Plan = ({ advice: { plan } }: { advice: Advice }) =>
  plan === null || plan.length < 2 ? null : (
    <>
      <p>If each of these passes, the time goes to:</p>
      <ol class="rows">
        {plan.map((one) => (
          <li key={`${one.clockMhz} ${one.voltageMv} ${one.durationS}`}>
            <Setting {...one} /> for {formatDuration(one.durationS)}, about{" "}
            {formatDuration(60 * one.expectedMinutes)} with setting up
          </li>
        ))}
      </ol>
    </>
  );

/** What the fit proposes, where the page came before it: told, and taken with one tap. */
export const latePiece = ({ proposal, from, settled }: Advice, buildId: string) => {
  if (from === "plain" || "missing" in proposal) return <p />;
  const { clockMhz, voltageMv, durationS, because } = proposal;
  const taken = paths.bench({ build: buildId, clockMhz, voltageMv, minutes: durationS / 60 });
  return (
    <Note kind="plain">
      <p>
        {settled} The whole record proposes{" "}
        <a href={taken}>
          <Setting clockMhz={clockMhz} voltageMv={voltageMv} /> for {formatDuration(durationS)}
        </a>
        . {because}
      </p>
    </Note>
  );
};

const aimWords: Readonly<Record<Aim, string>> = {
  clock: "the highest clock at one voltage",
  voltage: "the lowest voltage for one clock",
  map: "the limit over the voltages tried",
  steps: "the highest clock, one step at a time by the acceptance rule",
};

/** The address of this bench with what it was asked, and something of it changed. */
function addressOf({ asked }: Trying, change: Readonly<Record<string, string | number | null>> = {}) {
  return {
    build: asked.buildId,
    aim: asked.aim === "clock" ? null : asked.aim,
    atMv: asked.voltageMv,
    atMhz: asked.clockMhz,
    have: asked.minutes,
    skip:
      asked.passedOver.length > 0
        ? skipWith(asked.passedOver.slice(0, -1), asked.passedOver.at(-1) as SettingTried)
        : null,
    pooled: asked.pooled ? null : "no",
    ...change,
  };
}

const planForm = "plan";

/** The form that asks for a plan; its field stands among what else may be proposed. */
export const PlanForm = ({ trying: { asked } }: { trying: Trying }) => (
  <form id={planForm} method="get" action={paths.bench()}>
    <input type="hidden" name="build" value={asked.buildId} />
    {asked.aim === "clock" ? null : <input type="hidden" name="aim" value={asked.aim} />}
  </form>
);

/** Another aim, another time, or not this one. */
export const Otherwise = ({ trying }: { trying: Trying }) => {
  const { advice, asked } = trying;
  const setting = "missing" in advice.proposal ? null : advice.proposal;
  const { clockMhz, voltageMv } = setting ?? { clockMhz: null, voltageMv: null };
  const aims: readonly [Aim, Readonly<Record<string, number | null>>][] = [
    ["clock", { atMv: voltageMv, atMhz: null }],
    ["voltage", { atMhz: clockMhz, atMv: null }],
    ["map", { atMv: null, atMhz: null }],
    ["steps", { atMv: null, atMhz: null }],
  ];
  return (
    <Fold title="Propose something else" keep="propose">
      <ul class="rows">
        {setting ? (
          <li>
            <a href={paths.bench(addressOf(trying, { skip: skipWith(asked.passedOver, setting) }))}>
              Skip this one
            </a>
          </li>
        ) : null}
        {aims.map(([aim, at]) => (
          <li key={aim}>
            {aim === asked.aim ? (
              <>
                Looking for <b>{aimWords[aim]}</b>
              </>
            ) : (
              <a href={paths.bench(addressOf(trying, { aim, skip: null, ...at }))}>
                Look for {aimWords[aim]}
              </a>
            )}
          </li>
        ))}
        <li>
          <a href={paths.bench(addressOf(trying, { pooled: asked.pooled ? "no" : null }))}>
            {asked.pooled
              ? "Leave out what the chip did on other builds"
              : "Count what the chip did on other builds as a start"}
          </a>
        </li>
      </ul>
      <Fields>
        <NumberField
          name="have"
          label="Bench time there is"
          unit="min"
          value={asked.minutes === null ? "" : String(asked.minutes)}
          more={{ form: planForm }}
        />
        <Button form={planForm}>Plan the time</Button>
      </Fields>
    </Fold>
  );
};
