import { usualLogLimits } from "../../bench/logs/logLimits.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fields, FileField, NoteField } from "../../html/field.tsx";
import { formatNumber } from "../../html/format.ts";
import { RefusalNote } from "../../html/note.tsx";
import { paths } from "../paths.ts";
import { type FormState, freshForm } from "./forms.ts";

/** A pasted log is a form's field, which is held in memory whole. */
export const pastedLogBytes = 8 << 20;

type Props = Readonly<{ attempt: Attempt; form?: FormState; replaces?: boolean }>;

/** The first step of reading a log: which one. What its columns mean is asked next. */
export const LogForm = ({ attempt, form = freshForm(), replaces = false }: Props) => (
  <form method="post" action={paths.logs(attempt.id)} encType="multipart/form-data" noValidate>
    <RefusalNote refused={form.refused && { message: form.refused.message }} />
    <Fields>
      <FileField
        name="file"
        scope="log"
        label="Sensor log"
        accept=".csv,.tsv,.txt,.log,text/csv,text/plain"
        hint={`A table as text with a header line and a time column. At most ${formatNumber(usualLogLimits.bytes / (1 << 30))} GiB, ${formatNumber(usualLogLimits.rows / 1_000_000)} million rows and ${formatNumber(usualLogLimits.columns)} columns.`}
        error={form.refused?.fields.file}
      />
    </Fields>
    <NoteField
      name="text"
      scope="log"
      label="Or paste its lines"
      rows={4}
      value={form.typed.text}
      hint={`At most ${formatNumber(pastedLogBytes / (1 << 20))} MiB.`}
      error={form.refused?.fields.text}
    />
    {replaces ? <p class="hint">What is here is replaced once the new log has been read whole.</p> : null}
    <Act>
      <Button>Look at its columns</Button>
    </Act>
  </form>
);
