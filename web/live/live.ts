import { arriveIn } from "../controls/arrival.ts";
import { owedList } from "../controls/owed.ts";
import { say } from "../controls/said.ts";
import { type ChangeHeard, onChange } from "./changeStream.ts";
import { type Asked, hasOwnRequest, holdBack, onSwapOfPage } from "./ownRequests.ts";
import { differing, unitsIn } from "./units.ts";

/** Changes come in bursts: an ending, its figures, the answer. */
const gatherMs = 120;
const upToDate = "Brought up to date.";
/** What the reader did goes on to show for so long, and is no news. */
const ownMs = 2_000;

const main = (): HTMLElement => document.querySelector<HTMLElement>("#main") as HTMLElement;

const pageIn = (text: string): Document => new DOMParser().parseFromString(text, "text/html");

/** Whether what stands is laid out as what arrived: a refusal may stand there that the server says no more. */
const areAlike = (standing: readonly Element[], arrived: readonly Element[]): boolean =>
  standing.length === arrived.length && standing.every(({ id }, at) => id === arrived[at]?.id);

type Field = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

const isTyped = (field: Field): boolean => {
  if (field instanceof HTMLSelectElement)
    return [...field.options].some(
      ({ selected, defaultSelected }) => selected !== defaultSelected && defaultSelected,
    );
  if (field.type === "checkbox" || field.type === "radio")
    return (field as HTMLInputElement).checked !== (field as HTMLInputElement).defaultChecked;
  return field.type !== "hidden" && field.value !== field.defaultValue;
};

/** Folds that somebody opened, as against those that stand open. */
const opened = new WeakSet<Element>();
const noteOpened = ({ target }: Event): void => {
  const fold = target instanceof Element ? target.closest("summary")?.parentElement : null;
  if (fold) opened.add(fold);
};
const isOpened = (fold: Element): boolean => opened.has(fold) && fold.querySelector("form, input") !== null;

/** Somebody is at work there: nothing is taken from under their hands. */
const isBusy = (piece: Element): boolean =>
  piece.querySelector("[aria-invalid='true'], [role='alert'], dialog[open]") !== null ||
  (piece.contains(document.activeElement) &&
    (document.activeElement as Element).matches("input, textarea, select")) ||
  [...piece.querySelectorAll<Field>("input, textarea, select")].some(isTyped) ||
  [...piece.querySelectorAll("details[open]")].some(isOpened);

/** What stands in sight stays where it stands, whatever is swapped above it. */
const keepingPlace = (work: () => void): void => {
  const seen = [...main().children].find((piece) => piece.getBoundingClientRect().bottom > 0);
  const before = seen?.getBoundingClientRect().top ?? 0;
  work();
  const moved = seen?.isConnected ? seen.getBoundingClientRect().top - before : 0;
  if (moved !== 0) scrollBy({ top: moved, behavior: "instant" });
};

const process = (piece: Element): void =>
  (window as unknown as { htmx?: { process(piece: Element): void } }).htmx?.process(piece);

/** What had the focus in a piece, by its words; undefined where nothing there had. */
const focusedIn = (standing: Element): string | undefined =>
  standing.contains(document.activeElement) ? (document.activeElement?.textContent ?? undefined) : undefined;

/** The focus goes on to what says the same; false where nothing does. */
const focusKept = (piece: Element, words: string): boolean => {
  const same = [...piece.querySelectorAll<HTMLElement>("a, button, summary, [tabindex]")].find(
    ({ textContent }) => textContent === words,
  );
  same?.focus({ preventScroll: true });
  return same !== undefined;
};

/** Takes the place of a piece, and the focus where it was on something that both have. */
const swapped = (standing: Element, piece: Element): void => {
  const words = focusedIn(standing);
  standing.replaceWith(piece);
  process(piece);
  if (words !== undefined) focusKept(piece, words);
};

/** The newest block of charts is the last of the page. */
const takeCharts = (page: Document): void => {
  const block = page.querySelector("script[data-charts]");
  if (block) document.body.append(document.importNode(block, true));
};

/** What was not shown yet stays said until it is: no other word takes its place. */
const strip = (words: string, more?: HTMLElement): void => {
  const standing = document.querySelector("#changed-elsewhere");
  if (standing?.querySelector("button") && !more) {
    say(words);
    return;
  }
  standing?.remove();
  const place = document.createElement("aside");
  place.id = "changed-elsewhere";
  place.append(words, ...(more ? [" ", more] : []));
  document.body.append(place);
  say(words);
  if (!more) setTimeout(() => place.remove(), 6_000);
};

const showIt = (): HTMLElement => {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain";
  button.textContent = "Show it";
  button.addEventListener("click", () => location.reload());
  return button;
};

/** What the reader did comes first: its answer is what is waited for. */
const isAwaiting = (): boolean => hasOwnRequest() || owedList().some(({ refused }) => refused === null);

/**
 * Keeps the page as the journal is: whatever was committed, here or on another device, is swapped in piece by piece;
 * what somebody is typing into stays, with a word that it changed. `served` is the main part as the server wrote it. What
 * an own swap brought is asked for where it came from, which need not be where the page is. A page that answers a form by
 * itself stays as it came.
 */
export const keepLive = (served: string): void => {
  let before = unitsIn(pageIn(served).body);
  let cameFrom = main().dataset.sent === undefined ? location.href : null;
  let waiting: ReturnType<typeof setTimeout> | undefined;
  let ownSwaps = 0;
  let ownAt = Number.NEGATIVE_INFINITY;
  let wasAway = false;

  const soon = (ms: number): void => {
    clearTimeout(waiting);
    waiting = setTimeout(() => void look(), ms);
  };

  async function look(): Promise<void> {
    if (document.hidden || cameFrom === null) return;
    if (isAwaiting()) return soon(gatherMs);
    const swapsBefore = ownSwaps;
    const answer = await fetch(cameFrom, { headers: { accept: "text/html" } }).catch(() => undefined);
    if (answer?.status === 401) return (await import("./shutOut.ts")).tellShutOut();
    const page = answer?.ok ? pageIn(await answer.text()) : undefined;
    // Asked for before an own swap, it tells of a page that is gone.
    if (swapsBefore !== ownSwaps || isAwaiting()) return soon(gatherMs);
    const arrived = page?.querySelector("#main");
    if (page && arrived) take(page, arrived);
  }

  function take(page: Document, arrived: Element): void {
    const now = unitsIn(arrived);
    const places = differing(before, now);
    before = now;
    if (places?.length === 0) tellUpToDate();
    else if (places === null || !areAlike([...main().children], [...arrived.children])) all(page, arrived);
    else some(page, arrived, places);
  }

  function tellUpToDate(changed = ""): void {
    const isOwn = performance.now() - ownAt < ownMs;
    // What the reader just did has its own word, which says as much.
    if (isOwn) wasAway = false;
    else if (wasAway) strip("The server was away and is back. This page is up to date.");
    else if (changed !== "") strip(changed);
    wasAway = false;
  }

  function all(page: Document, arrived: Element): void {
    if ([...main().children].some(isBusy)) strip("Something changed meanwhile.", showIt());
    else {
      const words = focusedIn(main());
      takeCharts(page);
      main().replaceChildren(...arrived.childNodes);
      process(main());
      document.title = page.title;
      // Whoever stood on what is gone is taken to what came in its place.
      if (words !== undefined && !focusKept(main(), words)) arriveIn(main());
      else tellUpToDate(main().querySelector<HTMLElement>("[data-arrival]")?.dataset.arrival || upToDate);
    }
  }

  function some(page: Document, arrived: Element, places: readonly number[]): void {
    const pieces = [...arrived.children];
    const standing = [...main().children];
    const free = places.filter((at) => standing[at] && !isBusy(standing[at]));
    takeCharts(page);
    keepingPlace(() => {
      for (const at of free) swapped(standing[at] as Element, pieces[at] as Element);
    });
    if (free.length < places.length) strip("Something changed meanwhile.", showIt());
    else tellUpToDate(upToDate);
  }

  /** A refusal in answer to a form comes from nowhere that could be asked: what the page was before still counts. */
  function noteOwn({ request, text, response }: Asked): void {
    ownSwaps += 1;
    ownAt = performance.now();
    const answer = response?.raw;
    const arrived = pageIn(text ?? "").querySelector("#main");
    if (!arrived || !answer || !(answer.redirected || request.method === "GET")) return;
    before = unitsIn(arrived);
    cameFrom = answer.url;
  }

  onSwapOfPage(noteOwn);
  holdBack(isAwaiting, () => soon(gatherMs));
  document.addEventListener("click", noteOpened);
  document.addEventListener("visibilitychange", () => soon(gatherMs));
  onChange(({ kind }: ChangeHeard) => {
    // A page that waits for an answer asks for it itself.
    if (kind === "answers") return;
    if (kind === "all") wasAway = true;
    soon(gatherMs);
  });
};
