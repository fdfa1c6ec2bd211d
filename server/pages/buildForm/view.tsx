import type { Build } from "../../bench/things/build.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { Fields } from "../../html/field.tsx";
import { Note, RefusalNote } from "../../html/note.tsx";
import type { FormState } from "../kit/forms.ts";
import { OnceField } from "../kit/once.tsx";
import { ThingFields, ThingInput } from "../kit/thingFields.tsx";
import { type HistoryShown, ThingHistory } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";
import { type BuildFields, changeField } from "./fields.ts";

export type BuildFormShown = Readonly<{
  fields: BuildFields;
  form: FormState;
  /** Null while it is being added. */
  build: Build | null;
  basedOn: Build | null;
  /** What has to be written down first: a chip, a board. */
  lacking: readonly ("chips" | "boards")[];
  attempts: number;
  /** Why it stays; null where it may go. */
  stays: string | null;
  history: HistoryShown | null;
}>;

export const BuildFormPage = ({ frame, shown }: { frame: Frame; shown: BuildFormShown }) => {
  const heading = headingOf(shown);
  return (
    <Document title={heading} frame={frame}>
      <Entry aside={<Aside shown={shown} />}>
        <Answer heading={heading}>{leadOf(shown)}</Answer>
        <RefusalNote refused={shown.form.refused} />
        {shown.lacking.length > 0 ? <Lacking shown={shown} /> : <Form shown={shown} />}
      </Entry>
      <ThingHistory history={shown.history} />
      {shown.build === null ? null : <Deletion build={shown.build} stays={shown.stays} />}
    </Document>
  );
};

const headingOf = ({ build, basedOn }: BuildFormShown): string =>
  build !== null
    ? build.name
    : basedOn !== null
      ? `A build based on ${basedOn.name}`
      : "A build to write down";

const leadOf = ({ build, basedOn, attempts }: BuildFormShown): string | null => {
  if (build !== null && attempts > 0)
    return "Attempts keep the parts they ran with: what is changed here counts for those to come.";
  if (basedOn !== null) return "All its parts are taken over. Say what is different, and change that below.";
  return build === null ? "One chip on one board, with everything around them." : null;
};

const Aside = ({ shown: { build } }: { shown: BuildFormShown }) =>
  build === null ? (
    <a href={paths.builds()}>all builds</a>
  ) : (
    <>
      <p>
        <a href={paths.build(build.id)}>how far it goes</a>
      </p>
      <p>
        <a href={paths.mounts(build.id)}>its mounts</a>,{" "}
        <a href={paths.versions(build.id)}>firmware and driver</a>
      </p>
    </>
  );

const Lacking = ({ shown: { lacking } }: { shown: BuildFormShown }) => (
  <Note kind="plain">
    <p>
      A build needs a chip and a board; the journal lacks{" "}
      {lacking.length === 2 ? "both" : `a ${lacking[0]?.slice(0, -1)}`}.
    </p>
    <Act>
      {lacking.map((path, i) => (
        <ButtonLink key={path} href={paths.newPart(path)} first={i === 0}>
          Add a {path.slice(0, -1)}
        </ButtonLink>
      ))}
    </Act>
  </Note>
);

const Form = ({ shown: { fields, form, build, basedOn } }: { shown: BuildFormShown }) => (
  <form
    method="post"
    action={build === null ? paths.newBuild() : paths.buildEdit(build.id)}
    data-guard
    noValidate
  >
    <OnceField once={form.typed.once} />
    {basedOn === null ? null : (
      <>
        <input type="hidden" name="basedOn" value={basedOn.id} />
        <Fields legend={`Changed from ${basedOn.name}`}>
          <ThingInput field={changeField} form={form} />
        </Fields>
      </>
    )}
    {build === null ? null : <input type="hidden" name="version" value={form.typed.version} />}
    <ThingFields fields={fields.setting} form={form} />
    <ThingFields
      fields={fields.parts}
      form={form}
      legend="Around them"
      more="Orientation, memory, supply, firmware"
    />
    <ThingFields fields={fields.plans} form={form} legend="Judged" more="Note" />
    <Act>
      <Button first>{build === null ? "Add the build" : "Save"}</Button>
      <ButtonLink href={build === null ? paths.builds() : paths.build(build.id)}>
        {build === null ? "Back to the builds" : "Back to the build"}
      </ButtonLink>
    </Act>
  </form>
);

const Deletion = ({ build, stays }: { build: Build; stays: string | null }) => (
  <Entry>
    <h2>Delete it</h2>
    {stays === null ? (
      <form method="post" action={paths.deletion("builds", build.id)}>
        <p>Nothing was recorded of it. Once deleted, it can come back within the day.</p>
        <Act>
          <Button>Delete the build</Button>
        </Act>
      </form>
    ) : (
      <p>{stays}</p>
    )}
  </Entry>
);
