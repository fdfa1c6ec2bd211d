import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields, InstantField, NoteField, NumberField, TextField } from "../../html/field.tsx";
import { RefusalNote } from "../../html/note.tsx";
import { OnceField } from "../kit/once.tsx";
import { paths } from "../paths.ts";
import { conditionWritten } from "./form.ts";
import { conditionWords, type NoiseShown } from "./shown.ts";

/** Levels typed, button pressed: everything else stands as it was at the last reading. */
export const ReadingForm = ({ shown }: { shown: NoiseShown }) => {
  const { form, editing, answer } = shown;
  const field = (name: string) => ({ name, value: form.typed[name], error: form.refused?.fields[name] });
  return (
    <>
      <RefusalNote refused={form.refused} />
      <form
        method="post"
        action={editing === null ? paths.noise() : paths.noiseReading(editing.id)}
        data-guard
        noValidate
      >
        <OnceField once={form.typed.once} />
        <input type="hidden" name="build" value={answer.build.id} />
        {form.typed.version ? <input type="hidden" name="version" value={form.typed.version} /> : null}
        <Fields>
          <TextField
            {...field("levelsDba")}
            label="Levels"
            unit="dB(A)"
            hint="One or more, read one after another: 38.2 38.5 38.1"
            required
          />
          <NumberField
            {...field("backgroundDba")}
            label="Background"
            unit="dB(A)"
            hint="Same spot, everything off. Without it only an upper bound is known."
          />
          <NumberField {...field("distanceM")} label="Distance" unit="m" hint="0.5, or 50 cm." required />
          <ChoiceField
            {...field("condition")}
            label="Under"
            none="fans only"
            choices={shown.conditions.flatMap((condition) => {
              const value = conditionWritten(condition);
              return value === "" ? [] : [{ value, title: conditionWords(condition, shown) }];
            })}
          />
        </Fields>
        <Rarer shown={shown} />
        <Act>
          <Button first letter="k">
            {editing === null ? "Keep the reading" : "Save"}
          </Button>
          {editing === null ? null : (
            <ButtonLink href={paths.noise({ build: answer.build.id })}>Leave it as it is</ButtonLink>
          )}
        </Act>
      </form>
      {editing === null ? null : (
        <form method="post" action={paths.deletion("noise", editing.id)}>
          <Act>
            <Button>Delete this reading</Button>
          </Act>
        </form>
      )}
    </>
  );
};

const rarer = ["workloadId", "clockMhz", "voltageMv", "takenAt", "note"] as const;

const Rarer = ({ shown: { form, editing, workloads, clockUnit } }: { shown: NoiseShown }) => {
  const isUsed = rarer.some((name) => form.refused?.fields[name] || (editing === null && form.typed[name]));
  const field = (name: string) => ({ name, value: form.typed[name], error: form.refused?.fields[name] });
  return (
    <Fold title="Another load or setting, time, note" open={isUsed}>
      <Fields>
        <ChoiceField
          {...field("workloadId")}
          label="Load"
          none="as chosen above"
          hint="Filled in here, it counts instead of the choice above."
          choices={workloads.map(({ id, name }) => ({ value: id, title: name }))}
        />
        <NumberField {...field("clockMhz")} label="Clock" unit={clockUnit} />
        <NumberField {...field("voltageMv")} label="Voltage" unit="V" />
        <InstantField
          {...field("takenAt")}
          label="Read at"
          hint="Like 2031-05-04 15:42 UTC; left blank, now. Within a quarter of an hour of a run it takes that run's fan speed."
        />
        <NoteField {...field("note")} label="Note" hint="Where the meter stood, what else could be heard." />
      </Fields>
    </Fold>
  );
};
