import { outcomes, outcomeWords } from "../../bench/things/outcome.ts";
import type { FieldRefusals } from "../../bench/things/refusal.ts";
import { type Workload, workloadKinds } from "../../bench/things/workload.ts";
import { attemptColumns, unitsFor } from "../../csv/attemptColumns.ts";
import type { AttemptFileGlimpse } from "../../csv/attemptFileGlimpse.ts";
import { type AttemptMapping, settledFor, wordKey } from "../../csv/attemptMapping.ts";
import { meaningWritten, outcomeField, workloadField } from "../../csv/attemptMappingTyped.ts";
import { Fold } from "../../html/entry.tsx";
import { type Choice, ChoiceField, Fields, TextField } from "../../html/field.tsx";

export type MappingProps = Readonly<{
  file: AttemptFileGlimpse;
  mapping: AttemptMapping;
  workloads: readonly Workload[];
  refused: FieldRefusals;
}>;

const unitWords: Readonly<Record<string, string>> = { s: "seconds", min: "minutes", h: "hours" };

const columnChoices: readonly Choice[] = attemptColumns.flatMap((column) =>
  unitsFor(column).map((unit) => ({
    value: `${column.field} ${unit}`.trim(),
    title: unit === "" ? column.title : `${column.title}, ${unitWords[unit] ?? unit}`,
  })),
);

/** What each column means. Those that were recognised stand in a fold; those that need a word are shown. */
export const ColumnFields = ({ file, mapping, refused }: MappingProps) => {
  const places = mapping.meanings.map((_, at) => at);
  const asked = places.filter((at) => refused[`column-${at}`] || mapping.meanings[at]?.unit === "?");
  const rest = places.filter((at) => !asked.includes(at));
  const missing = Object.entries(refused).filter(([field]) => !field.includes("-") && field.length < 12);
  const open = missing.some(([field]) => ["clockMhz", "voltageMv", "outcome"].includes(field));
  return (
    <>
      {asked.length > 0 ? (
        <Fields legend="Which need a word">
          {asked.map((at) => (
            <ColumnField key={at} at={at} file={file} mapping={mapping} refused={refused} />
          ))}
        </Fields>
      ) : null}
      <Fold title={`What the ${rest.length} columns mean`} open={open}>
        <Fields>
          {rest.map((at) => (
            <ColumnField key={at} at={at} file={file} mapping={mapping} refused={refused} />
          ))}
        </Fields>
      </Fold>
    </>
  );
};

const ColumnField = ({ at, file, mapping, refused }: Omit<MappingProps, "workloads"> & { at: number }) => {
  const meaning = mapping.meanings[at] ?? null;
  return (
    <ChoiceField
      name={`column-${at}`}
      label={file.columns[at]?.name || `column ${at + 1}`}
      value={meaning?.unit === "?" ? "" : meaningWritten(meaning)}
      none={meaning?.unit === "?" ? "say in which unit" : "left out"}
      choices={
        meaning?.unit === "?"
          ? columnChoices.filter(({ value }) => value.startsWith(meaning.field))
          : columnChoices
      }
      required
      error={refused[`column-${at}`]}
      hint={samplesWords(file.columns[at]?.samples ?? [])}
    />
  );
};

const samplesWords = (samples: readonly string[]): string =>
  samples.length === 0
    ? "empty"
    : samples.map((cell) => (cell.length > 24 ? `${cell.slice(0, 23)}…` : cell)).join(" · ");

/** Words of the file that the journal cannot know: what ended how, and which load is meant. */
export const WordFields = ({ file, mapping, workloads, refused }: MappingProps) => {
  const { outcomeWords: endings, workloadsUnnamed: unnamed } = file;
  const known = new Set(workloads.map(({ name }) => wordKey(name)));
  const loads = file.workloadWords.filter((word) => !known.has(wordKey(word)));
  if (endings.length + loads.length === 0 && !unnamed) return null;
  return (
    <Fields legend="What these words mean">
      {endings.map((word) => (
        <ChoiceField
          key={word}
          name={outcomeField(word)}
          label={`“${word}” ended how?`}
          required
          value={settledFor(mapping.outcomes, word) ?? ""}
          none="choose"
          choices={outcomes
            .filter((outcome) => outcome !== "running")
            .map((value) => ({ value, title: outcomeWords[value] }))}
        />
      ))}
      {loads.map((word) => (
        <ChoiceField
          key={word}
          name={workloadField(word)}
          label={`“${word}” is which load?`}
          required
          value={settledFor(mapping.workloads, word) ?? ""}
          none="choose"
          choices={[
            ...workloads.map(({ id, name }) => ({ value: id, title: name })),
            ...workloadKinds.map((kind) => ({ value: `new:${kind}`, title: `a new one, ${kind}` })),
          ]}
        />
      ))}
      {unnamed ? (
        <ChoiceField
          name="workloadId"
          label="Load of the lines that name none"
          required
          value={mapping.workloadId ?? ""}
          none="choose"
          error={refused.workloadId}
          choices={workloads.map(({ id, name }) => ({ value: id, title: name }))}
        />
      ) : null}
    </Fields>
  );
};

/** How the times of the file are meant; asked only where it has any. */
export const TimeFields = ({ mapping, refused }: MappingProps) => {
  const dated = mapping.meanings.some(
    (meaning) => meaning?.field === "startedAt" || meaning?.field === "startedOn",
  );
  if (!dated) return null;
  return (
    <Fields legend="How its times are meant">
      <TextField
        name="zone"
        label="Zone of the bench's clock"
        required
        value={mapping.zone}
        error={refused.zone}
        hint="Like Europe/Paris, or UTC."
      />
      <ChoiceField
        name="days"
        label="5/4/2031 is"
        required
        value={mapping.dayFirst ? "first" : "second"}
        choices={[
          { value: "first", title: "the fifth of April" },
          { value: "second", title: "May the fourth" },
        ]}
      />
    </Fields>
  );
};
