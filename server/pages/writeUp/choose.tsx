import { type StatedUse, statedUses } from "../../bench/writeUp/statedUse.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { CheckField, ChoiceField, Fields } from "../../html/field.tsx";
import { RefusalNote } from "../../html/note.tsx";
import type { Refused } from "../kit/forms.ts";
import { paths } from "../paths.ts";

const usesInFull: Readonly<Record<StatedUse, string>> = {
  aim: "what each build is after",
  benchmark: "short loads, an hour",
  daily: "long loads, eight hours",
  quiet: "quiet, the least heat",
  unattended: "nobody there, a day",
};

export type Choosing = Readonly<{
  builds: readonly Readonly<{ id: string; name: string }>[];
  chosen: readonly string[];
  use: StatedUse;
  refused: Refused | null;
}>;

/** Before anything is told: of which builds, and for what use. */
export const ChooseAccountPage = ({ frame, choosing }: { frame: Frame; choosing: Choosing }) => (
  <Document title="Write-up" frame={frame}>
    <Entry>
      {choosing.builds.length === 0 ? (
        <>
          <Answer heading="There is no build to tell of yet">
            Write one down and run it; the account then writes itself.
          </Answer>
          <Act>
            <ButtonLink href={paths.newBuild()} first>
              Write down a build
            </ButtonLink>
          </Act>
        </>
      ) : (
        <>
          <Answer heading="What is the account about?">
            One build tells how far it goes; with more, each is compared with the one you choose.
          </Answer>
          <RefusalNote refused={choosing.refused} />
          <ChooseForm choosing={choosing} />
        </>
      )}
    </Entry>
  </Document>
);

const ChooseForm = ({ choosing: { builds, chosen, use, refused } }: { choosing: Choosing }) => (
  <form method="get" action={paths.writeUp()}>
    <Fields legend="Builds">
      {builds.map(({ id, name }) => (
        <CheckField
          key={id}
          name="builds"
          scope={id}
          label={name}
          value={id}
          checked={chosen.includes(id)}
          error={id === builds[0]?.id ? refused?.fields.builds : undefined}
        />
      ))}
    </Fields>
    <Fields>
      {builds.length > 1 ? (
        <ChoiceField
          name="against"
          label="Each compared with"
          none="the first one chosen"
          value={chosen[0] ?? ""}
          choices={builds.map(({ id, name }) => ({ value: id, title: name }))}
        />
      ) : null}
      <ChoiceField
        name="use"
        label="Recommend a setting for"
        value={use}
        required
        hint="What is recommended passes its hours 95 times in 100; with nobody there, 99."
        choices={statedUses.map((one) => ({
          value: one,
          title: usesInFull[one],
        }))}
      />
    </Fields>
    <Act>
      <Button first letter="w">
        Write it up
      </Button>
    </Act>
  </form>
);
