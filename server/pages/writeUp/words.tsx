import { whenWritten } from "../../bench/document/stamp.ts";
import type { OwnWordsBySlot } from "../../bench/writeUp/block.ts";
import type { Slot } from "../../bench/writeUp/slots.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { CheckField, NoteField } from "../../html/field.tsx";
import { Note, RefusalNote } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import type { EarlierWords } from "../../store/parts/writeUpWords.ts";
import type { FormState } from "../kit/forms.ts";
import { paths } from "../paths.ts";
import { type AccountTyped, accountAddress } from "./asked.ts";

export type WordsShown = Readonly<{
  asked: AccountTyped;
  slots: readonly Slot[];
  own: OwnWordsBySlot;
  /** By slot, what stood there before. */
  earlier: ReadonlyMap<string, readonly EarlierWords[]>;
  form: FormState;
}>;

const rowsFor = (words: string): number => Math.min(12, Math.max(2, Math.ceil(words.length / 80) + 1));

const SlotFields = ({ slot, shown }: { slot: Slot; shown: WordsShown }) => {
  const own = shown.own[slot.slot];
  const name = `words.${slot.slot}`;
  const typed = shown.form.typed[name] ?? own?.words ?? slot.words;
  return (
    <Entry aside={own ? <p>your words</p> : null}>
      <input type="hidden" name={`seen.${slot.slot}`} value={slot.words} />
      <NoteField
        name={name}
        label={slot.name}
        value={typed}
        rows={rowsFor(typed)}
        error={shown.form.refused?.fields[slot.slot]}
        hint={slot.words === "" ? "The journal says nothing here; lists and figures follow it." : undefined}
      />
      {own ? (
        <>
          <Note kind="plain">
            <p>
              {own.replaced === slot.words ? (
                "The journal says: "
              ) : (
                <b>The journal has changed. It says now: </b>
              )}
              {slot.words || "nothing."}
            </p>
          </Note>
          <CheckField name={`again.${slot.slot}`} label="Take the journal's words again" />
        </>
      ) : null}
      <WhatStoodBefore earlier={shown.earlier.get(slot.slot) ?? []} />
    </Entry>
  );
};

/** Also what was written on another bench at the same time, and gave way. */
const WhatStoodBefore = ({ earlier }: { earlier: readonly EarlierWords[] }) =>
  earlier.length === 0 ? null : (
    <Fold title="What you wrote here before">
      <ul class="rows">
        {earlier.map(({ stamp, words }) => (
          <li key={stamp}>
            written <Moment at={whenWritten(stamp)} />: “{words}”
          </li>
        ))}
      </ul>
    </Fold>
  );

/** Every paragraph of the account to be written anew. Figures are not among them. */
export const WordsPage = ({ frame, shown }: { frame: Frame; shown: WordsShown }) => (
  <Document title="The account in your own words" frame={frame}>
    <Entry>
      <Answer heading="In your own words">
        Change what you like; a paragraph left empty is left out. Tables, charts and recommended settings
        always come from the journal.
      </Answer>
      <RefusalNote refused={shown.form.refused} />
    </Entry>
    <form method="post" action={paths.writeUpWords()} data-guard>
      <input type="hidden" name="builds" value={shown.asked.buildIds.join(",")} />
      <input type="hidden" name="use" value={shown.asked.use} />
      {shown.slots.map((slot) => (
        <SlotFields key={slot.slot} slot={slot} shown={shown} />
      ))}
      <Entry>
        <Act>
          <Button first>Keep these words</Button>
          <ButtonLink href={accountAddress(shown.asked)}>Leave them</ButtonLink>
        </Act>
      </Entry>
    </form>
  </Document>
);
