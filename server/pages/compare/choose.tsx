import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry, Fold } from "../../html/entry.tsx";
import { CheckField, type Choice, ChoiceField, Fields } from "../../html/field.tsx";
import { RefusalNote } from "../../html/note.tsx";
import type { Refused } from "../kit/forms.ts";
import { paths } from "../paths.ts";

type Chosen = Readonly<{ a: string | null; b: string | null }>;

type FormProps = Readonly<{ choices: readonly Choice[]; chosen: Chosen; refused: Refused | null }>;

export const ChooseForm = ({ choices, chosen, refused }: FormProps) => (
  <form method="get" action={paths.compare()}>
    <Fields>
      <ChoiceField
        name="a"
        label="This build"
        choices={choices}
        value={chosen.a ?? choices[0]?.value}
        required
        error={refused?.fields.a}
      />
      <ChoiceField
        name="b"
        label="against"
        choices={choices}
        value={chosen.b ?? choices.find(({ value }) => value !== (chosen.a ?? choices[0]?.value))?.value}
        required
        error={refused?.fields.b}
      />
    </Fields>
    <Act>
      <Button first letter="c">
        Compare them
      </Button>
    </Act>
  </form>
);

/** Several builds, each against a chosen one. */
export const SeveralForm = ({
  choices,
  a,
  against,
}: {
  choices: readonly Choice[];
  a: string | null;
  against: readonly string[];
}) => (
  <form method="get" action={paths.compare()}>
    <Fields>
      <ChoiceField
        name="a"
        scope="several"
        label="Each against"
        choices={choices}
        value={a ?? choices[0]?.value}
        required
      />
    </Fields>
    <Fields legend="these builds">
      {choices.map(({ value, title }) => (
        <CheckField
          key={value}
          name="b"
          scope={value}
          label={title}
          value={value}
          checked={against.includes(value)}
        />
      ))}
    </Fields>
    <Act>
      <Button>Compare each</Button>
    </Act>
  </form>
);

/** Before two builds are chosen, or where the choice cannot be compared. */
export const ChooseBuildsPage = ({
  frame,
  choices,
  chosen,
  refused,
}: FormProps & Readonly<{ frame: Frame }>) => (
  <Document title="Compare" frame={frame}>
    <Entry>
      {choices.length < 2 ? (
        <>
          <Answer heading="It takes two builds to compare">
            {choices.length === 0
              ? "None is written down yet."
              : "One is written down; the second may differ by a single change."}
          </Answer>
          <Act>
            <ButtonLink href={paths.newBuild({ basedOn: choices[0]?.value })} first>
              {choices.length === 0 ? "Write down a build" : "Write down a changed build"}
            </ButtonLink>
          </Act>
        </>
      ) : (
        <>
          <Answer heading="Which two builds?">
            Clocks are compared at the same voltage, temperatures at the same setting and load.
          </Answer>
          <RefusalNote refused={refused} />
          <ChooseForm choices={choices} chosen={chosen} refused={refused} />
          {choices.length > 2 ? (
            <Fold title="Several, each against one">
              <SeveralForm choices={choices} a={chosen.a} against={[]} />
            </Fold>
          ) : null}
          <p class="prose">
            <a href={paths.changes()}>What each stated change did</a>
          </p>
        </>
      )}
    </Entry>
  </Document>
);
