import type { Tone } from "../../server/html/plot.ts";

/** The page's colours as they are now. */
export type Inks = Readonly<{
  tone: (tone: Tone) => string;
  wash: (tone: Tone) => string;
  paper: string;
  rule: string;
  soft: string;
  font: string;
}>;

export const inksOf = (element: HTMLElement): Inks => {
  const probe = element.appendChild(document.createElement("span"));
  // Else a reader whose system forces colours would have bands as dark as lines.
  probe.style.setProperty("forced-color-adjust", "none");
  const resolved = new Map<string, string>();
  const ink = (name: string): string => {
    probe.style.color = `var(${name})`;
    return getComputedStyle(probe).color;
  };
  for (const tone of ["lead", "second", "third", "fourth", "fault", "warm", "quiet", "ink"]) {
    resolved.set(tone, ink(`--tone-${tone}`));
    resolved.set(`wash-${tone}`, ink(`--wash-${tone}`));
  }
  const inks: Inks = {
    tone: (tone) => resolved.get(tone) as string,
    wash: (tone) => resolved.get(`wash-${tone}`) as string,
    paper: ink("--paper"),
    rule: ink("--rule"),
    soft: ink("--ink-soft"),
    font: `13px ${getComputedStyle(document.body).fontFamily}`,
  };
  probe.remove();
  return inks;
};

/** Calls back when the reader's theme changes, whichever way. */
export const onThemeChange = (changed: () => void): void => {
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", changed);
  new MutationObserver(changed).observe(document.documentElement, { attributeFilter: ["data-theme"] });
};
