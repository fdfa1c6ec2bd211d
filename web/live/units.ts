/** The pieces of a page that are swapped one by one: what stands directly in its main part, as the server wrote it. */
export type Units = readonly Readonly<{ key: string; text: string }>[];

/** A form's own key is another each time it is written, and so is a clock that runs; that alone changes nothing. */
const asEverWritten = (text: string): string =>
  text
    .replace(/<input[^>]*name="once"[^>]*>/g, "")
    .replace(/ data-now="[^"]*"/g, "")
    .replace(/(<[^>]* role="timer"[^>]*>)[^<]*/g, "$1");

const keyOf = (element: Element): string =>
  element.id ||
  `${element.tagName} ${element.className} ${element.querySelector("h1, h2, h3")?.textContent ?? ""}`;

export const unitsIn = (main: ParentNode): Units =>
  [...main.children].map((element) => ({ key: keyOf(element), text: asEverWritten(element.outerHTML) }));

/** Which places differ; null where pieces came or went, so that places cannot be compared. */
export const differing = (before: Units, now: Units): readonly number[] | null => {
  if (before.length !== now.length || before.some(({ key }, at) => key !== now[at]?.key)) return null;
  return now.flatMap(({ text }, at) => (text === before[at]?.text ? [] : [at]));
};
