import { chipKinds } from "../../bench/things/chip.ts";
import { workloadKinds } from "../../bench/things/workload.ts";
import { Act, Button } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { ChoiceField, Fields, NumberField, TextField } from "../../html/field.tsx";
import { RefusalNote } from "../../html/note.tsx";
import type { PageContext } from "../kit/context.ts";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { waysOfSetting } from "./beginning.ts";

const kindTitles = { cpu: "processor", gpu: "graphics processor", memory: "memory" } as const;

/** An empty journal: one short form leads to the first attempt. */
export const beginningPage = (context: PageContext, form: FormState): string =>
  pageHtml(
    <Document title="Bench" frame={frameOf(context, "bench")}>
      <Entry>
        <Answer heading="What is on the bench?">
          Name the chip, the board and the load, then try the first setting. Everything can be changed and
          added to later.
        </Answer>
        <RefusalNote refused={form.refused} />
        <form method="post" action={paths.beginning()} noValidate>
          <OnceField once={context.journal.newId(context.now())} />
          <ChipFields form={form} />
          <OtherFields form={form} />
          <Act>
            <Button first>To the first attempt</Button>
          </Act>
        </form>
      </Entry>
      <Entry>
        <p class="lead">
          Only looking around? Stop this program and start it with{" "}
          <code class="quantity">npm start -- --demo</code>: it opens a journal of invented bench days and
          leaves yours alone.
        </p>
      </Entry>
    </Document>,
  );

const fieldOf = (form: FormState, name: string, usual?: string) => ({
  name,
  value: form.typed[name] ?? usual,
  error: form.refused?.fields[name],
});

const ChipFields = ({ form }: { form: FormState }) => (
  <Fields legend="The chip">
    <TextField label="Name" required {...fieldOf(form, "chipName")} />
    <ChoiceField
      label="It is a"
      required
      choices={chipKinds.map((value) => ({ value, title: kindTitles[value] }))}
      {...fieldOf(form, "kind", "cpu")}
    />
    <ChoiceField
      label="You set"
      required
      choices={Object.entries(waysOfSetting).map(([value, { title }]) => ({ value, title }))}
      {...fieldOf(form, "setBy", "clock")}
    />
    <NumberField
      label="Temperature limit"
      unit="°C"
      required
      hint="Where it throttles or you would stop; its maker says."
      {...fieldOf(form, "tempLimitC")}
    />
    <NumberField
      label="Stock clock"
      unit="MHz"
      hint="In MT/s where you set a data rate."
      {...fieldOf(form, "stockClockMhz")}
    />
    <NumberField label="Stock voltage" unit="V" {...fieldOf(form, "stockVoltageMv")} />
    <NumberField
      label="Voltage ceiling"
      unit="V"
      hint="Above this you will be asked to confirm."
      {...fieldOf(form, "voltageCeilingMv")}
    />
  </Fields>
);

const OtherFields = ({ form }: { form: FormState }) => (
  <Fields legend="Around it">
    <TextField label="Board" required {...fieldOf(form, "boardName")} />
    <TextField
      label="Name of this build"
      hint="Left blank, the chip on the board."
      {...fieldOf(form, "buildName")}
    />
    <TextField
      label="Load"
      required
      hint="A name of your own for what loads it."
      {...fieldOf(form, "workloadName")}
    />
    <ChoiceField
      label="Kind of load"
      required
      choices={workloadKinds.filter((kind) => kind !== "idle").map((value) => ({ value, title: value }))}
      {...fieldOf(form, "workloadKind", "all-core")}
    />
  </Fields>
);
