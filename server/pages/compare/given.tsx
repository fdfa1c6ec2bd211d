import type { FastifyRequest } from "fastify";
import {
  type Assumptions,
  usualAssumptions,
  usualMountScatterC,
} from "../../bench/comparison/assumptions.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { CheckField, Fields, NumberField } from "../../html/field.tsx";
import { formatNumber } from "../../html/format.ts";
import { RefusalNote } from "../../html/note.tsx";
import { valueAsked } from "../kit/addressed.ts";
import type { Refused, Typed } from "../kit/forms.ts";
import { quantityTyped, temperatureTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";

const usual = usualAssumptions.worthHaving;

type Given = Readonly<{
  name: string;
  label: string;
  unit: string;
  hint: string;
  most: number;
  read: (typed: string | undefined) => number | null;
}>;

const plain = (unit: string) => (typed: string | undefined) => quantityTyped(typed, { "": 1, [unit]: 1 });

const given = [
  {
    name: "mountScatter",
    label: "Mounts scatter by",
    unit: "°C",
    hint: `From your experience, where it was not measured. Usual are ${usualMountScatterC[0]} to ${usualMountScatterC[1]} °C (common practice).`,
    most: 20,
    read: temperatureTyped,
  },
  {
    name: "room",
    label: "Room thermometer good to ±",
    unit: "°C",
    hint: `Left blank: ${usualAssumptions.roomAccuracyC}.`,
    most: 20,
    read: temperatureTyped,
  },
  {
    name: "worthHeat",
    label: "Worth having: temperature",
    unit: "°C",
    hint: `Left blank: ${usual.loadRise}.`,
    most: 100,
    read: temperatureTyped,
  },
  {
    name: "worthNoise",
    label: "Worth having: loudness",
    unit: "dB",
    hint: `Left blank: ${usual.noise}.`,
    most: 100,
    read: plain("db"),
  },
  {
    name: "worthClock",
    label: "Worth having: clock",
    unit: "MHz",
    hint: "Left blank: one clock step.",
    most: 10_000,
    read: (typed) => quantityTyped(typed, { "": 1, mhz: 1, "mt/s": 1 }),
  },
  {
    name: "worthPower",
    label: "Worth having: power",
    unit: "W",
    hint: "Left blank: any.",
    most: 5000,
    read: plain("w"),
  },
] as const satisfies readonly Given[];
type GivenName = (typeof given)[number]["name"];

/** What the tester takes as given, as the address carries it. */
export type GivenTyped = Readonly<{ typed: Typed; refused: Refused | null; stated: Partial<Assumptions> }>;

/** What cannot be read is said beside its field and the usual is taken meanwhile. */
export function givenIn(request: FastifyRequest): GivenTyped {
  const typed: Record<string, string> = {};
  const fields: Record<string, string> = {};
  const values = new Map<GivenName, number>();
  for (const { name, read, most, unit } of given) {
    const written = valueAsked(request, name);
    if (written === null) continue;
    typed[name] = written;
    const value = read(written);
    if (value !== null && value >= 0 && value <= most) values.set(name, value);
    else fields[name] = `A number from 0 to ${formatNumber(most)} ${unit}.`;
  }
  if (valueAsked(request, "stayed") !== null) typed.stayed = "yes";
  const isWrong = Object.keys(fields).length > 0;
  const refused = isWrong ? { message: "Not all of it could be read; the usual was taken.", fields } : null;
  return { typed, refused, stated: statedFrom(values, typed.stayed !== undefined) };
}

function statedFrom(values: ReadonlyMap<GivenName, number>, stayed: boolean): Partial<Assumptions> {
  const [mount, room] = [values.get("mountScatter"), values.get("room")];
  const [heat, noise] = [values.get("worthHeat"), values.get("worthNoise")];
  const [clock, power] = [values.get("worthClock"), values.get("worthPower")];
  return {
    coolerStayedOn: stayed,
    ...(mount !== undefined && mount > 0 && { mountScatterC: mount }),
    ...(room !== undefined && { roomAccuracyC: room }),
    worthHaving: {
      ...usual,
      ...(heat !== undefined && { loadRise: heat, peakRise: heat, idleRise: heat, supplyRise: heat }),
      ...(noise !== undefined && { noise }),
      ...(clock !== undefined && { clock }),
      ...(power !== undefined && { power }),
    },
  };
}

type Props = Readonly<{
  asked: GivenTyped;
  kept: readonly (readonly [name: string, value: string])[];
  clockUnit: string;
}>;

/** A fold that stands open once something in it was stated, so that nobody overlooks what a verdict rests on. */
export const GivenFold = ({ asked, kept, clockUnit }: Props) => {
  const { typed, refused } = asked;
  return (
    <Fold
      title="What is taken as given: scatter of mounts, the room, what is worth having"
      open={Object.keys(typed).length > 0}
    >
      <RefusalNote refused={refused} />
      <form method="get" action={paths.compare()} noValidate>
        {kept.map(([name, value]) => (
          <input key={`${name} ${value}`} type="hidden" name={name} value={value} />
        ))}
        <Fields>
          {given.map(({ name, label, unit, hint }) => (
            <NumberField
              key={name}
              name={name}
              label={label}
              unit={name === "worthClock" ? clockUnit : unit}
              hint={hint}
              value={typed[name]}
              error={refused?.fields[name]}
            />
          ))}
        </Fields>
        <CheckField
          name="stayed"
          label="The cooler stayed on between the builds"
          value="yes"
          checked={typed.stayed !== undefined}
          hint="Then runs count one by one, not mounts."
        />
        <Act>
          <Button>Judge again</Button>
        </Act>
      </form>
    </Fold>
  );
};
