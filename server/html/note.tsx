import type { ComponentChildren } from "preact";
import { fieldId } from "./field.tsx";

type Kind = "caution" | "refused" | "done" | "plain";
type Props = Readonly<{
  kind?: Kind;
  id?: string;
  /** What is said to those who hear the page when a swap brings this, which then has the focus. */
  arrival?: string;
  children: ComponentChildren;
}>;

const roles = { caution: "note", refused: "alert", done: "status", plain: "note" } as const;

/** One calm sentence where a decision is made. */
export const Note = ({ kind = "caution", id, arrival, children }: Props) => (
  <div
    class={`note ${kind}`}
    // What is said by the page's own voice needs no second one.
    role={arrival === undefined ? roles[kind] : "group"}
    id={id}
    data-arrival={arrival}
  >
    {children}
  </div>
);

type Refused = Readonly<{ message: string; fields?: Readonly<Record<string, string>> }>;

/** Why a form came back, with a link to each field that has a word to say; `scope` is the one of its fields. */
export const RefusalNote = ({ refused, scope }: Readonly<{ refused: Refused | null; scope?: string }>) => {
  if (refused === null) return null;
  const fields = Object.entries(refused.fields ?? {});
  const [only] = fields;
  if (only && fields.length === 1 && only[1] === refused.message)
    return (
      <Note kind="refused">
        <p>
          <a href={`#${fieldId(only[0], scope)}`}>{refused.message}</a>
        </p>
      </Note>
    );
  return (
    <Note kind="refused">
      {fields.some(([, words]) => words === refused.message) ? null : <p>{refused.message}</p>}
      {fields.length > 0 ? (
        <ul>
          {fields.map(([name, words]) => (
            <li key={name}>
              <a href={`#${fieldId(name, scope)}`}>{words}</a>
            </li>
          ))}
        </ul>
      ) : null}
    </Note>
  );
};

/** Nothing here yet: what to do about it, with the way there. */
export const Missing = ({ children }: { children: ComponentChildren }) => (
  <div class="missing">{children}</div>
);
