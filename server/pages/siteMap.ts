import type { Frame } from "../html/document.tsx";
import type { PageContext } from "./kit/context.ts";
import { paths } from "./paths.ts";

const pageTitles = {
  bench: "Bench",
  builds: "Builds",
  compare: "Compare",
  heat: "Heat",
  noise: "Noise",
  "write-up": "Write-up",
  parts: "Parts",
  journal: "Journal",
} as const;
export type PageName = keyof typeof pageTitles;

const addresses: Readonly<Record<PageName, string>> = {
  bench: paths.bench(),
  builds: paths.builds(),
  compare: paths.compare(),
  heat: paths.heat(),
  noise: paths.noise(),
  "write-up": paths.writeUp(),
  parts: paths.parts(),
  journal: paths.journal(),
};

/** What is the same around every page, with the one that is open marked. */
export const frameOf = (context: PageContext, open: PageName | null): Frame => ({
  name: "Rungbook",
  nav: (Object.keys(pageTitles) as PageName[]).map((page) => ({
    href: addresses[page],
    title: pageTitles[page],
    current: page === open,
  })),
  assets: context.assets,
  notice: context.journal.stopped()?.words ?? null,
  label: context.demo ? "demo, invented data" : null,
  footer: [{ href: paths.cautions(), title: "Cautions" }],
});
