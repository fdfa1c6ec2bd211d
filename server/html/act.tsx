import type { ComponentChildren } from "preact";

type ActProps = Readonly<{
  /** Side by side on a phone too: two, of few words. */
  beside?: boolean;
  children: ComponentChildren;
}>;

/** A row of what can be done; one of them first. */
export const Act = ({ beside, children }: ActProps) => (
  <div class={beside ? "act beside" : "act"}>{children}</div>
);

/** Told to those who hear the page by aria-keyshortcuts, so the name of the button stays its words. */
const unheard = { "aria-hidden": "true" } as const;

type ShortcutProps = Readonly<{ letter: string | undefined; typing?: string | undefined }>;

/** The single key of what stands beside it. */
export const Key = ({ letter }: { letter: string }) => <kbd {...unheard}>{letter.toUpperCase()}</kbd>;

const Shortcut = ({ letter, typing }: ShortcutProps) => (
  <>
    {letter ? <Key letter={letter} /> : null}
    {typing ? (
      <kbd class="typing" {...unheard}>
        {typing}
      </kbd>
    ) : null}
  </>
);

type ButtonProps = Readonly<{
  children: ComponentChildren;
  first?: boolean;
  wide?: boolean;
  /** The single key that presses it, shown on it. */
  letter?: string;
  /** Shown instead of it while a field of the form has the focus: the keys that press it from there. */
  typing?: string;
  type?: "submit" | "button";
  name?: string;
  value?: string;
  formaction?: string;
  form?: string;
  hidden?: boolean;
  disabled?: boolean;
  label?: string;
  more?: Readonly<Record<string, string | boolean | undefined>>;
}>;

const shape = (first: boolean | undefined, wide: boolean | undefined): string =>
  ["button", first ? "first" : "", wide ? "wide" : ""].filter(Boolean).join(" ");

export const Button = ({
  children,
  first,
  wide,
  letter,
  typing,
  type = "submit",
  label,
  more,
  ...rest
}: ButtonProps) => (
  <button
    class={shape(first, wide)}
    type={type}
    data-key={letter}
    aria-keyshortcuts={typing === undefined ? letter : `${letter} Control+Enter`}
    aria-label={label}
    {...rest}
    {...more}
  >
    <span>{children}</span>
    <Shortcut letter={letter} typing={typing} />
  </button>
);

type LinkProps = Readonly<{
  children: ComponentChildren;
  href: string;
  first?: boolean;
  wide?: boolean;
  letter?: string;
  more?: Readonly<Record<string, string | boolean | undefined>>;
}>;

/** Going somewhere, in the shape of a button. */
export const ButtonLink = ({ children, href, first, wide, letter, more }: LinkProps) => (
  <a class={shape(first, wide)} href={href} data-key={letter} aria-keyshortcuts={letter} {...more}>
    <span>{children}</span>
    <Shortcut letter={letter} />
  </a>
);
