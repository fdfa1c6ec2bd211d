import { relativeWear, type WornSetting } from "../../bench/power/wear.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { Fields, NumberField } from "../../html/field.tsx";
import { formatNumber } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import type { FormState, Typed } from "../kit/forms.ts";
import { temperatureTyped, voltageTyped } from "../kit/quantityTyped.ts";
import { paths } from "../paths.ts";

const fields = [
  { name: "fromMv", label: "This voltage under load", unit: "V" },
  { name: "fromC", label: "at", unit: "°C" },
  { name: "toMv", label: "against this voltage", unit: "V" },
  { name: "toC", label: "at", unit: "°C" },
] as const;

type Read = Readonly<{ from: WornSetting; to: WornSetting }>;

const isWithin = (value: number | null, low: number, high: number): value is number =>
  value !== null && value >= low && value <= high;

/** Both settings as typed, or what is wrong with them. */
function wearTyped(typed: Typed): Read | Readonly<Record<string, string>> {
  const wrong: Record<string, string> = {};
  const voltage = (name: "fromMv" | "toMv"): number => {
    const value = voltageTyped(typed[name]);
    if (isWithin(value, 100, 3000)) return value;
    wrong[name] = "A voltage from 0.1 to 3 V.";
    return 0;
  };
  const temperature = (name: "fromC" | "toC"): number => {
    const value = temperatureTyped(typed[name]);
    if (isWithin(value, -100, 200)) return value;
    wrong[name] = "A temperature from −100 to 200 °C.";
    return 0;
  };
  const read = {
    from: { voltageMv: voltage("fromMv"), tempC: temperature("fromC") },
    to: { voltageMv: voltage("toMv"), tempC: temperature("toC") },
  };
  return Object.keys(wrong).length > 0 ? wrong : read;
}

const isRead = (read: ReturnType<typeof wearTyped>): read is Read => "from" in read;

/** Folded away until it is asked for: a wide guess that is easily taken for more. */
export const WearFold = ({
  buildId,
  typed,
  isAsked,
  workload,
}: {
  buildId: string;
  typed: Typed;
  isAsked: boolean;
  workload: string | null;
}) => {
  const read = isAsked ? wearTyped(typed) : null;
  const refused: FormState["refused"] =
    read === null || isRead(read) ? null : { message: "Four figures are needed.", fields: read };
  return (
    <Fold title="Which of two settings wears the chip faster" open={isAsked}>
      <RefusalNote refused={refused} />
      <form method="get" action={`${paths.power(buildId)}#wear`}>
        <input type="hidden" name="wear" value="asked" />
        {workload === null ? null : <input type="hidden" name="workload" value={workload} />}
        <Fields>
          {fields.map(({ name, label, unit }) => (
            <NumberField
              key={name}
              name={name}
              label={label}
              unit={unit}
              value={typed[name]}
              error={refused?.fields[name]}
            />
          ))}
        </Fields>
        <Act>
          <Button>Reckon it</Button>
        </Act>
      </form>
      {read !== null && isRead(read) ? <Wear read={read} /> : null}
    </Fold>
  );
};

const Wear = ({ read }: { read: Read }) => {
  const { words, middle, caution } = relativeWear(read.from, read.to);
  return (
    <>
      <p class="lead">The second setting: {words.charAt(0).toLowerCase() + words.slice(1)}</p>
      <p class="prose">
        With middling constants it comes to a factor of {formatNumber(middle, middle < 10 ? 1 : 0)}.
      </p>
      <Note>{caution}</Note>
    </>
  );
};
