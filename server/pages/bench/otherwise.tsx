import type { Aim } from "../../answers/advice.ts";
import { isSearched } from "../../bench/scale/knobSearch.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { withinSentence } from "../../bench/things/words.ts";
import { Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields, NumberField, TextField } from "../../html/field.tsx";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { useClockUnit } from "../kit/clockUnit.ts";
import { PursuitFields } from "../kit/pursuit.tsx";
import { paths } from "../paths.ts";
import { pursuitOf, skipped, skipWith } from "./advised.ts";
import type { Trying } from "./shown.ts";

export const aimWords: Readonly<Record<Aim, string>> = {
  clock: "the highest clock at one voltage",
  voltage: "the lowest voltage for one clock",
  map: "the limit over the voltages tried",
  steps: "the highest clock, one step at a time by the acceptance rule",
  knob: "how far one knob goes, all else as it was last",
};

type Change = Readonly<Record<string, string | number | null>>;

/** What this bench was asked, and something of it changed. */
export const questionOf = ({ asked }: Trying, change: Change = {}) => ({
  build: asked.buildId,
  ...pursuitOf(asked),
  have: asked.minutes,
  skip: skipped(asked.passedOver),
  again: asked.again,
  ...change,
});

export const benchAddress = (trying: Trying, change: Change = {}): string =>
  paths.bench(questionOf(trying, change));

const planForm = "plan";
const voltageForm = "lowest-voltage";
const mapForm = "map";

/** The forms that ask for a plan, and for the lowest voltage of a clock; their fields stand among what else may be proposed. */
export const OtherwiseForms = ({ trying: { asked, form } }: { trying: Trying }) => {
  const pursuit = pursuitOf(asked);
  return (
    <>
      <form id={planForm} method="get" action={paths.bench()}>
        <input type="hidden" name="build" value={asked.buildId} />
        <PursuitFields pursuit={{ ...pursuit, until: null, load: form.typed.workloadId ?? pursuit.load }} />
      </form>
      <form id={mapForm} method="get" action={paths.bench()}>
        <input type="hidden" name="build" value={asked.buildId} />
        <PursuitFields
          pursuit={{ ...pursuit, aim: "map", atMhz: null, atMv: null, voltages: null, knob: null }}
        />
      </form>
      <form id={voltageForm} method="get" action={paths.bench()}>
        <input type="hidden" name="build" value={asked.buildId} />
        <PursuitFields pursuit={{ ...pursuit, aim: "voltage", atMhz: null, atMv: null, knob: null }} />
      </form>
    </>
  );
};

/** The bench without the proposal that stands; null where there is none. */
export const skipAddress = (trying: Trying): string | null => {
  const { advice, asked } = trying;
  if ("missing" in advice.proposal || advice.from === "plain" || asked.knob !== null) return null;
  return benchAddress(trying, { skip: skipWith(asked.passedOver, advice.proposal) });
};

/** Another aim, or another time. */
export const Otherwise = ({ trying, chip }: { trying: Trying; chip: Chip }) => {
  const { asked, voltagesRefused } = trying;
  return (
    <Fold title="Propose something else" keep="propose" open={voltagesRefused !== null}>
      <ul class="rows">
        {chip.axis === "clock" ? <ClockAims trying={trying} /> : <OffsetAim trying={trying} chip={chip} />}
        {knobsToSearch(chip)
          .filter(({ id }) => id !== asked.knob)
          .map(({ id, name }) => (
            <li key={id}>
              <a href={benchAddress(trying, { ...usualAim, aim: "knob", knob: id })}>
                Look how far {withinSentence(name)} goes, all else as it was last
              </a>
            </li>
          ))}
      </ul>
      {chip.axis === "clock" ? <OverVoltages trying={trying} /> : null}
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

/** The usual aim, and nothing of another one. */
const usualAim = { aim: null, atMv: null, atMhz: null, skip: null, knob: null } as const;

/** The list stays one that can be read. */
const mostKnobs = 12;
const knobsToSearch = ({ knobs }: Chip) => knobs.filter(isSearched).slice(0, mostKnobs);

const OffsetAim = ({ trying, chip }: { trying: Trying; chip: Chip }) =>
  trying.asked.aim === "clock" ? null : (
    <li>
      <a href={benchAddress(trying, usualAim)}>
        Look how far {withinSentence(chip.offset?.name ?? "the offset")} goes
      </a>
    </li>
  );

const ClockAims = ({ trying }: { trying: Trying }) => {
  const { advice, asked } = trying;
  const atMv = "missing" in advice.proposal ? null : advice.proposal.voltageMv;
  const aims: readonly [Aim, Change][] = [
    ["clock", { atMv, atMhz: null }],
    ["map", { atMv: null, atMhz: null }],
    ["steps", { atMv: null, atMhz: null }],
  ];
  return (
    <>
      {aims
        .filter(([aim]) => aim !== asked.aim)
        .map(([aim, at]) => (
          <li key={aim}>
            <a href={benchAddress(trying, { ...usualAim, aim: aim === "clock" ? null : aim, ...at })}>
              Look for {aimWords[aim]}
            </a>
          </li>
        ))}
    </>
  );
};

const OverVoltages = ({ trying }: { trying: Trying }) => {
  const { asked, voltagesRefused } = trying;
  return (
    <>
      <Fields>
        <NumberField
          name="atMhz"
          label="Lowest voltage for a clock of"
          unit={useClockUnit()}
          value={voltageClock(trying)}
          more={{ form: voltageForm }}
        />
        <Button form={voltageForm}>Look for it</Button>
      </Fields>
      <Fields>
        <TextField
          name="voltages"
          label="A map of these voltages"
          hint="In volts, such as 1.05, 1.1, 1.15; left blank, those tried already."
          value={voltagesRefused?.typed ?? asked.voltagesMv.map((mv) => formatMilli(mv)).join(", ")}
          error={voltagesRefused?.because}
          more={{ form: mapForm }}
        />
        <Button form={mapForm}>Map them</Button>
      </Fields>
    </>
  );
};

/** The clock looked at, else the one proposed, to be typed over. */
const voltageClock = ({ asked, advice: { proposal } }: Trying): string => {
  const clockMhz = asked.clockMhz ?? ("missing" in proposal ? null : proposal.clockMhz);
  return clockMhz === null ? "" : formatNumber(clockMhz);
};
