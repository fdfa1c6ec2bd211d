import type { ComponentChildren } from "preact";

type Props = Readonly<{ aside?: ComponentChildren; children: ComponentChildren; id?: string }>;

/** One stretch of the sheet: the margin says when, where from and how much; the page says what. */
export const Entry = ({ aside, children, id }: Props) => (
  <section class="entry" id={id}>
    <div class="aside">{aside}</div>
    <div class="body">{children}</div>
  </section>
);

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

/** A fold: there for whoever needs it. */
export const Fold = ({
  title,
  open,
  children,
}: {
  title: ComponentChildren;
  open?: boolean;
  children: ComponentChildren;
}) => (
  <details class="fold" open={open}>
    <summary>{title}</summary>
    <div class="folded">{children}</div>
  </details>
);
