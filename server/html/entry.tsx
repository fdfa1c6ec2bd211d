import type { ComponentChildren } from "preact";

type Props = Readonly<{ aside?: ComponentChildren; children: ComponentChildren; id?: string }>;

/** One stretch of the sheet: the margin says when, where from and how much; the page says what. */
export const Entry = ({ aside, children, id }: Props) => (
  <section class="entry" id={id}>
    <div class="aside">{aside}</div>
    <div class="body">{children}</div>
  </section>
);

type HeadingProps = Readonly<{
  first: boolean;
  class?: string;
  "data-arrival"?: string;
  children: ComponentChildren;
}>;

/** Of the first entry of a page it is the page's own. */
export const EntryHeading = ({ first, ...more }: HeadingProps) =>
  first ? <h1 {...more} /> : <h2 {...more} />;

/** The answer in one sentence, and what it rests on. */
export const Answer = ({
  heading,
  children,
}: {
  heading: ComponentChildren;
  children?: ComponentChildren;
}) => (
  <>
    <h1>{heading}</h1>
    {children ? <p class="lead">{children}</p> : null}
  </>
);

type FoldProps = Readonly<{
  title: ComponentChildren;
  open?: boolean;
  /** Names the fold where the browser is to remember it open. */
  keep?: string;
  /** Whether a phone folds what stands open elsewhere. */
  narrow?: boolean;
  children: ComponentChildren;
}>;

/** Stands open; on a phone it is folded, and shows its title only there. */
export const PhoneFold = ({ title, children }: Pick<FoldProps, "title" | "children">) => (
  <details class="fold phone-fold" open data-narrow>
    <summary>{title}</summary>
    <div class="folded">{children}</div>
  </details>
);

/** A fold: there for whoever needs it. */
export const Fold = ({ title, open, keep, narrow, children }: FoldProps) => (
  <details class="fold" open={open} data-fold={keep} data-narrow={narrow && open ? "" : undefined}>
    <summary>{title}</summary>
    <div class="folded">{children}</div>
  </details>
);

type LineProps = Readonly<{
  /** What is read at once, in one line. */
  line: ComponentChildren;
  /** The word that leads to the rest. */
  more: string;
  keep?: string;
  children: ComponentChildren;
}>;

/** One line, and the rest a tap away. */
export const LineWithMore = ({ line, more, keep, children }: LineProps) => (
  <details class="line-more" data-fold={keep}>
    <summary>
      <span>{line}</span> <span class="more">{more}</span>
    </summary>
    <div class="folded">{children}</div>
  </details>
);
