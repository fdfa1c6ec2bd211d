import type { ComponentChildren } from "preact";

type Kind = "caution" | "refused" | "done" | "plain";
type Props = Readonly<{ kind?: Kind; id?: string; children: ComponentChildren }>;

const roles = { caution: "note", refused: "alert", done: "status", plain: "note" } as const;

/** One calm sentence where a decision is made. */
export const Note = ({ kind = "caution", id, children }: Props) => (
  <div class={`note ${kind}`} role={roles[kind]} id={id}>
    {children}
  </div>
);

type Refused = Readonly<{ message: string; fields?: Readonly<Record<string, string>> }>;

/** Why a form came back, with a link to each field that has a word to say. */
export const RefusalNote = ({ refused }: { refused: Refused | null }) =>
  refused === null ? null : (
    <Note kind="refused">
      <p>{refused.message}</p>
      {Object.keys(refused.fields ?? {}).length > 0 ? (
        <ul>
          {Object.entries(refused.fields ?? {}).map(([name, words]) => (
            <li key={name}>
              <a href={`#field-${name}`}>{words}</a>
            </li>
          ))}
        </ul>
      ) : null}
    </Note>
  );

/** Nothing here yet: what to do about it, with the way there. */
export const Missing = ({ children }: { children: ComponentChildren }) => (
  <div class="missing">{children}</div>
);
