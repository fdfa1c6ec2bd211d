import type { ComponentChildren } from "preact";
import { partNames, partWords } from "../../bench/things/build.ts";
import { Fold } from "../../html/entry.tsx";
import { formatCount, unknownMark } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { fieldWords, formFields } from "../attemptForm/formFields.ts";
import type { AttemptShown } from "./shown.ts";

const hidden = new Set(["workloadId", "startedAt", "note"]);

/** What was written down, what the build was made of then, and how many fields are blank. */
export const AttemptFacts = ({ shown }: { shown: AttemptShown }) => {
  const { attempt, workloads, mount, build, chip } = shown;
  const fields = formFields.filter(({ name }) => !hidden.has(name));
  const said = fields.filter((field) => fieldWords(field, attempt[field.name]) !== unknownMark);
  const blank = fields.filter((field) => !said.includes(field));
  const parts = partNames.filter((part) => attempt.asBuilt[part] !== "");
  const changed = parts.filter((part) => build && build[part] !== attempt.asBuilt[part]);
  return (
    <>
      <dl class="facts">
        <Fact label="Load">{workloads.find(({ id }) => id === attempt.workloadId)?.name ?? unknownMark}</Fact>
        <Fact label="Started">
          <Moment at={attempt.startedAt} />
        </Fact>
        {said.map((field) => (
          <Fact key={field.name} label={field.title}>
            {fieldWords(field, attempt[field.name], chip)}
          </Fact>
        ))}
        {attempt.aboveCeiling ? <Fact label="Above the ceiling">confirmed when it was recorded</Fact> : null}
        <Fact label="Mount">
          {mount?.mountedAt ? (
            <>
              of <Moment at={mount.mountedAt} />
            </>
          ) : (
            "the first"
          )}
          {mount?.paste ? `, ${mount.paste}` : ""}
        </Fact>
        {parts.map((part) => (
          <Fact key={part} label={partWords[part]}>
            {attempt.asBuilt[part]}
            {changed.includes(part) ? " (changed since)" : ""}
          </Fact>
        ))}
      </dl>
      {blank.length > 0 ? (
        <Fold title={`${formatCount(blank.length, "field")} not written down`}>
          <p class="quiet">{blank.map(({ title }) => title.toLowerCase()).join(", ")}</p>
        </Fold>
      ) : null}
    </>
  );
};

const Fact = ({ label, children }: { label: string; children: ComponentChildren }) => (
  <>
    <dt>{label}</dt>
    <dd>{children}</dd>
  </>
);
