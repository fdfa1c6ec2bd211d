import type { ComponentChildren, VNode } from "preact";
import { renderToString } from "preact-render-to-string";
import { Entry } from "./entry.tsx";
import { ChartBlock } from "./jsonBlock.tsx";
import { Note } from "./note.tsx";

type NavEntry = Readonly<{ href: string; title: string; current?: boolean }>;

/** Where the built style and script are served; what only a page that swaps pieces looks like and does is apart. */
export type Assets = Readonly<{
  stylesheet: string;
  benchStyles: string;
  accountStyles: string;
  script: string;
  swaps: string;
  swapping: string;
}>;

/** What is the same on every page of one server. `label` says plainly that what is shown was invented. */
export type Frame = Readonly<{
  name: string;
  nav: readonly NavEntry[];
  assets: Assets;
  label?: string | null;
  /** What everybody must know on every page, such as that nothing is being kept. */
  notice?: string | null;
  footer?: readonly NavEntry[];
}>;

type Props = Readonly<{
  title: string;
  frame: Frame;
  children: ComponentChildren;
  charts?: Readonly<Record<string, unknown>>;
  /** Whether the page swaps pieces of itself. One with charts does not unless it says so: two libraries weigh too much. */
  swaps?: boolean;
  /** Whether it is the written account, which is laid out to be read and printed. */
  isAccount?: boolean;
}>;

/** Refusals are swapped like any other answer, save that the passphrase is missing; going back asks the server again. */
const swapSettings = JSON.stringify({
  history: "reload",
  includeIndicatorCSS: false,
  noSwap: [204, 304, 401],
});

type HeadProps = Pick<Props, "title" | "frame" | "swaps" | "isAccount">;

const Head = ({ title, frame, swaps, isAccount }: HeadProps) => (
  <head>
    <meta charset="utf-8" />
    <meta name="viewport" content="width=device-width, initial-scale=1" />
    <meta name="color-scheme" content="light dark" />
    <meta name="referrer" content="same-origin" />
    {swaps ? <meta name="htmx-config" content={swapSettings} /> : null}
    <title>{title === frame.name ? title : `${title} · ${frame.name}`}</title>
    <link rel="icon" href="data:," />
    <link rel="stylesheet" href={frame.assets.stylesheet} />
    {swaps ? <link rel="stylesheet" href={frame.assets.benchStyles} /> : null}
    {isAccount ? <link rel="stylesheet" href={frame.assets.accountStyles} /> : null}
    {swaps ? <script src={frame.assets.swaps} defer /> : null}
    {swaps ? <script type="module" src={frame.assets.swapping} /> : null}
    <script type="module" src={frame.assets.script} />
  </head>
);

const NavLink = ({ href, title, current, far }: NavEntry & { far?: boolean }) => (
  <a href={href} class={far ? "far" : undefined} aria-current={current ? "page" : undefined}>
    {title}
  </a>
);

/** So many pages stand side by side on a phone; the others are one tap further. */
const besides = 4;

/** Named by the open page where it is one of them. */
const MorePages = ({ entries }: { entries: readonly NavEntry[] }) =>
  entries.length === 0 ? null : (
    <details class="more-pages">
      <summary class={entries.some(({ current }) => current) ? "current" : undefined}>
        {entries.find(({ current }) => current)?.title ?? "More"}
      </summary>
      <div>
        {entries.map((entry) => (
          <NavLink key={entry.href} {...entry} />
        ))}
      </div>
    </details>
  );

const Top = ({ frame }: Pick<Props, "frame">) => (
  <header class="top">
    <a class="name" href="/">
      {frame.name}
    </a>
    <nav aria-label="Pages">
      {frame.nav.map((entry, at) => (
        <NavLink key={entry.href} {...entry} far={at >= besides} />
      ))}
      <MorePages entries={frame.nav.slice(besides)} />
    </nav>
    {frame.label ? <p class="label">{frame.label}</p> : null}
  </header>
);

const Foot = ({ frame }: Pick<Props, "frame">) => (
  <footer class="foot">
    {(frame.footer ?? []).map((entry) => (
      <NavLink key={entry.href} {...entry} />
    ))}
    <button type="button" class="plain needs-script" data-keys-switch aria-pressed="true">
      Single keys
    </button>
  </footer>
);

export const Document = ({
  title,
  frame,
  children,
  charts,
  swaps = charts === undefined,
  isAccount = false,
}: Props) => (
  <html lang="en">
    <Head title={title} frame={frame} swaps={swaps} isAccount={isAccount} />
    <body>
      <a class="skip" href="#main">
        Skip to the page
      </a>
      <div class="sheet">
        <Top frame={frame} />
        <main id="main" tabindex={-1}>
          {frame.notice ? (
            <Entry>
              <Note kind="refused" id="notice">
                <p>{frame.notice}</p>
              </Note>
            </Entry>
          ) : null}
          {children}
        </main>
        <Foot frame={frame} />
      </div>
      {charts ? <ChartBlock charts={charts} /> : null}
    </body>
  </html>
);

export const pageHtml = (document: VNode): string => `<!doctype html>${renderToString(document)}`;

/** A piece of a page, for a swap. */
export const fragmentHtml = (piece: VNode): string => renderToString(piece);
