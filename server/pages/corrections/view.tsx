import type { Attempt } from "../../bench/things/attempt.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount } from "../../html/format.ts";
import { Missing, Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import { type Column, Table } from "../../html/table.tsx";
import { AttemptFieldInput } from "../attemptForm/attemptFieldset.tsx";
import { loadNames } from "../kit/attemptTable.tsx";
import type { FormState } from "../kit/forms.ts";
import { KnobInput, TimingsInput } from "../kit/knobInput.tsx";
import { OnceField } from "../kit/once.tsx";
import { OutcomeMark } from "../kit/outcomeMark.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { unparted } from "../kit/unparted.ts";
import { paths } from "../paths.ts";
import type { Corrigible } from "./corrigible.ts";
import { type CorrectedAttempt, type CorrectionsShown, pickName } from "./shown.ts";

type OfChosen = Readonly<{ shown: CorrectionsShown; chosen: Corrigible }>;

export const CorrectionsPage = ({ frame, shown }: { frame: Frame; shown: CorrectionsShown }) => {
  const { build, attempts } = shown;
  return (
    <Document title={`Correct attempts on ${build.name}`} frame={frame}>
      <Entry aside={<a href={paths.attempts(build.id)}>its attempts</a>}>
        <Answer heading="Correct several attempts at once">
          A wrong load, room, power limit or offset for a whole evening: choose what was wrong, say what it
          was, look at what that changes.
        </Answer>
        <Done shown={shown} />
        <RefusalNote refused={shown.form.refused} />
        {attempts.length === 0 ? (
          <Missing>Nothing was tried on this build yet.</Missing>
        ) : (
          <Which shown={shown} />
        )}
      </Entry>
      {shown.chosen === null || attempts.length === 0 ? null : shown.changes === null ? (
        <ChooseEntry shown={shown} />
      ) : (
        <LookEntry shown={shown} changes={shown.changes} />
      )}
    </Document>
  );
};

const Which = ({ shown: { build, corrigibles, chosen } }: { shown: CorrectionsShown }) => (
  <form method="get" action={paths.corrections(build.id)}>
    <Fields>
      <ChoiceField
        name="field"
        label="What was wrong"
        value={chosen?.name}
        choices={corrigibles.map(({ name, title }) => ({ value: name, title }))}
      />
    </Fields>
    <Act>
      <Button first={chosen === null}>Choose attempts</Button>
    </Act>
  </form>
);

const Done = ({ shown: { build, done, once } }: { shown: CorrectionsShown }) =>
  done === null ? null : (
    <Note kind="done" arrival={`${done.of.title} was corrected in ${formatCount(done.attempts, "attempt")}.`}>
      <p>
        {done.of.title} was corrected in {formatCount(done.attempts, "attempt")}.
      </p>
      <form method="post" action={paths.correctionsUndone(build.id)}>
        <OnceField once={once} />
        <input type="hidden" name="field" value={done.of.name} />
        <input type="hidden" name="changed" value={done.at} />
        <Act>
          <Button letter="z">Undo</Button>
        </Act>
      </form>
    </Note>
  );

const ChooseEntry = ({ shown }: { shown: CorrectionsShown }) => {
  const { build, chosen, form } = shown;
  if (chosen === null) return null;
  return (
    <Entry>
      <h2>{chosen.title}</h2>
      <Evenings shown={shown} field={chosen.name} />
      <form method="post" action={paths.corrections(build.id)} data-guard noValidate>
        <input type="hidden" name="field" value={chosen.name} />
        <Fields>
          <ValueInput shown={shown} chosen={chosen} />
          <AboveMeant form={form} chosen={chosen} />
        </Fields>
        {hintOf(chosen)}
        <Table caption="Attempts, the newest first" columns={pickColumns(shown)} rows={shown.attempts} />
        <Act>
          <Button first name="act" value="look">
            See what it changes
          </Button>
        </Act>
      </form>
    </Entry>
  );
};

const ValueInput = ({ shown: { form, workloads }, chosen: { input } }: OfChosen) => {
  if ("knob" in input) return <KnobInput knob={input.knob} form={form} />;
  if ("timings" in input) return <TimingsInput timings={input.timings} form={form} />;
  return <AttemptFieldInput field={input.field} form={form} workloads={workloads} />;
};

const hintOf = ({ field }: Corrigible) =>
  field === "offsets" ? (
    <p class="prose">Parts that you do not name stay as they are.</p>
  ) : field === "knobs" ? (
    <p class="prose">Left blank, it stood as usual. Other knobs stay as they are.</p>
  ) : null;

/** After a refusal of what lies above a ceiling: the same may be sent again with this. */
const AboveMeant = ({ form, chosen }: { form: FormState; chosen: Corrigible }) =>
  form.refused?.message.includes("ceiling") ? (
    <CheckField name="aboveCeiling" value={form.typed[chosen.name]} label="It is meant" />
  ) : null;

const mostEvenings = 4;

/** One tap for all of an evening, before the value is typed. */
const Evenings = ({ shown: { build, evenings }, field }: { shown: CorrectionsShown; field: string }) => {
  const several = evenings.filter(({ ids }) => ids.length > 1).slice(0, mostEvenings);
  return several.length === 0 ? null : (
    <Act>
      {several.map(({ newestId, startedAt, ids }) => (
        <ButtonLink key={newestId} href={paths.corrections(build.id, { field, evening: newestId })}>
          All {ids.length} from <Moment at={startedAt} /> on
        </ButtonLink>
      ))}
    </Act>
  );
};

const pickColumns = ({ form, chip, workloads, chosen }: CorrectionsShown): readonly Column<Attempt>[] => {
  const loads = loadNames(workloads);
  return [
    {
      head: "Chosen",
      words: true,
      cell: (attempt) => (
        <label class="pick">
          <input
            type="checkbox"
            name={pickName(attempt.id)}
            value="yes"
            checked={form.typed[pickName(attempt.id)] !== undefined}
          />{" "}
          <Moment at={attempt.startedAt} />
        </label>
      ),
    },
    { head: "Setting", words: true, cell: (attempt) => unparted(settingWords(attempt, chip)) },
    { head: "Ended", words: true, cell: ({ outcome }) => <OutcomeMark outcome={outcome} /> },
    { head: "Load", words: true, cell: ({ workloadId }) => loads.get(workloadId) ?? "" },
    ...(chosen === null || shownAnyway.has(chosen.name)
      ? []
      : [{ head: chosen.title, words: true, cell: (attempt: Attempt) => chosen.words(attempt) }]),
  ];
};

/** What the columns beside tell already. */
const shownAnyway: ReadonlySet<string> = new Set(["workloadId", "offset", "offsets", "part"]);

const LookEntry = ({ shown, changes }: { shown: CorrectionsShown; changes: readonly CorrectedAttempt[] }) => {
  const { build, chosen, form, chip, once } = shown;
  const changing = changes.filter(({ before, after }) => before !== after);
  if (chosen === null) return null;
  return (
    <Entry>
      <h2>
        {chosen.title}: {formatCount(changing.length, "attempt")} would change
      </h2>
      <Table
        caption="What would change"
        columns={[
          { head: "Started", words: true, cell: ({ attempt }) => <Moment at={attempt.startedAt} /> },
          { head: "Setting", words: true, cell: ({ attempt }) => unparted(settingWords(attempt, chip)) },
          { head: "Is", words: true, cell: ({ before }) => before },
          {
            head: "Becomes",
            words: true,
            cell: ({ before, after }) => (before === after ? "the same" : after),
          },
        ]}
        rows={changes}
      />
      <form method="post" action={paths.corrections(build.id)}>
        <OnceField once={once} />
        <input type="hidden" name="field" value={chosen.name} />
        <input type="hidden" name={chosen.name} value={form.typed[chosen.name] ?? ""} />
        {form.typed.aboveCeiling === undefined ? null : (
          <input type="hidden" name="aboveCeiling" value={form.typed.aboveCeiling} />
        )}
        {changes.map(({ attempt }) => (
          <input key={attempt.id} type="hidden" name={pickName(attempt.id)} value="yes" />
        ))}
        <Act>
          {changing.length > 0 ? (
            <Button first name="act" value="apply">
              Change {formatCount(changing.length, "attempt")}
            </Button>
          ) : null}
          <Button name="act" value="choose">
            Choose again
          </Button>
        </Act>
      </form>
    </Entry>
  );
};
