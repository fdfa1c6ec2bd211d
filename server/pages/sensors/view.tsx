import { isKnownChannel } from "../../bench/logs/channel.ts";
import {
  channelsOfKind,
  mostRecorded,
  type SensorChoice,
  type SensorReading,
} from "../../bench/logs/sensor.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Note, RefusalNote } from "../../html/note.tsx";
import type { FormState } from "../kit/forms.ts";
import { paths } from "../paths.ts";

export type SensorsShown = Readonly<{
  readings: readonly SensorReading[];
  chosen: readonly SensorChoice[];
  isOn: boolean;
  form: FormState;
}>;

export const SensorsPage = ({ frame, shown }: { frame: Frame; shown: SensorsShown }) => {
  const { readings, form } = shown;
  return (
    <Document title="This machine's sensors" frame={frame}>
      <Entry aside={<a href={paths.heat()}>heat runs</a>}>
        <Answer heading={headingOf(shown)}>
          Read once a second while an attempt runs, and kept as its trace. Only of use where Rungbook runs on
          the machine under test itself.
        </Answer>
        <RefusalNote refused={form.refused && { message: form.refused.message }} />
        {readings.length === 0 ? <NoSensors shown={shown} /> : <SensorForm shown={shown} />}
      </Entry>
    </Document>
  );
};

function headingOf({ readings, chosen, isOn }: SensorsShown): string {
  if (readings.length === 0) return "This machine shows no sensors";
  if (isOn)
    return `${formatCount(chosen.length, "sensor")} of this machine ${chosen.length === 1 ? "is" : "are"} recorded`;
  return "This machine's own sensors are not recorded";
}

const NoSensors = ({ shown }: { shown: SensorsShown }) => (
  <>
    <Note kind="plain">
      On Linux they are shown by the kernel under /sys/class/hwmon; in a virtual machine and on other systems
      there are none. A recorder of your own can send rows to <code>/api/attempts/:id/samples</code>, or its
      log can be read once the attempt has ended.
    </Note>
    {shown.isOn ? (
      <form method="post" action={paths.sensors()}>
        <Act>
          <Button>Stop looking for them</Button>
        </Act>
      </form>
    ) : null}
  </>
);

const SensorForm = ({ shown }: { shown: SensorsShown }) => {
  const { readings, isOn, form, chosen } = shown;
  const gone = chosen.filter(({ sensor }) => !readings.some((reading) => reading.sensor.id === sensor));
  return (
    <form method="post" action={paths.sensors()} noValidate>
      <CheckField
        name="recorded"
        label="Record them while an attempt runs"
        checked={form.typed.recorded === undefined ? isOn : form.typed.recorded === "true"}
      />
      <Fields>
        {readings.map((reading) => (
          <SensorField key={reading.sensor.id} reading={reading} shown={shown} />
        ))}
      </Fields>
      {gone.length > 0 ? (
        <p class="quiet">
          Chosen before and not there now: {gone.map(({ sensor }) => sensor).join(", ")}. Keeping this lets go
          of {gone.length === 1 ? "it" : "them"}.
        </p>
      ) : null}
      <Act>
        <Button first>Keep this</Button>
        <ButtonLink href={paths.bench()}>To the bench</ButtonLink>
      </Act>
      <p class="quiet">At most {mostRecorded} sensors.</p>
    </form>
  );
};

const channelWords: Readonly<Record<string, string>> = {
  temperature: "the chip's temperature",
  supply: "the supply stage's temperature",
  ambient: "the room",
  fan: "the fan",
  voltage: "the voltage",
  current: "the current",
  power: "the chip's power",
};

const SensorField = ({
  reading: { sensor, value },
  shown,
}: {
  reading: SensorReading;
  shown: SensorsShown;
}) => {
  const { chosen, form } = shown;
  const channel = chosen.find((choice) => choice.sensor === sensor.id)?.channel;
  const usual = channel === undefined ? "" : isKnownChannel(channel) ? channel : "own";
  return (
    <ChoiceField
      name={`sensor ${sensor.id}`}
      label={`${sensor.device}: ${sensor.label}`}
      value={form.typed[`sensor ${sensor.id}`] ?? usual}
      none="not recorded"
      choices={[
        ...channelsOfKind[sensor.kind].map((known) => ({
          value: known,
          title: channelWords[known] ?? known,
        })),
        { value: "own", title: "kept under its own name" },
      ]}
      hint={`now ${formatNumber(value, sensor.unit === "°C" ? 1 : undefined)} ${sensor.unit}`}
      error={form.refused?.fields[sensor.id]}
    />
  );
};
