import { formatElapsed } from "../../server/html/format.ts";
import { type Owed, owe, owedList, settleOwed, whenOwedElsewhere } from "./owed.ts";
import { arriveAtNote, showOwed, tellKept } from "./owedNotes.ts";
import { sentenceOn } from "./pageSentence.ts";
import { isLeftUndone, isUnanswered, type Request, requestOf } from "./swapRequest.ts";

declare const htmx: { ajax(method: string, address: string, how: object): Promise<void> };

const againMs = 3000;
const patienceMs = 8000;

const formOf = (address: string): HTMLFormElement | null =>
  document.querySelector(`form[data-owed][action="${CSS.escape(address)}"]`);

const timerBeside = (form: Element | null): HTMLElement | null =>
  form?.closest(".entry")?.querySelector<HTMLElement>("[data-timer]") ?? null;

/** As the timer says; by both clocks where its script was still on the way when the server went. */
const elapsedOn = (timer: HTMLElement | null): string | undefined =>
  timer === null
    ? undefined
    : (timer.dataset.elapsed ??
      String(Math.max(0, Math.floor((Date.now() - Date.parse(timer.dataset.started ?? "")) / 1000))));

/** What is said by a form that is kept back: when it was tapped goes along, since the server cannot time it any more. */
const owedBy = ({ sourceElement, action, body }: Request, form: HTMLFormElement): Owed => {
  const elapsed = elapsedOn(timerBeside(form));
  const fields = new URLSearchParams(body);
  if (elapsed !== undefined) fields.set("tappedS", elapsed);
  const when = fields.get("durationS") || (elapsed === undefined ? "" : formatElapsed(Number(elapsed)));
  const how = sourceElement.querySelector("span")?.textContent ?? "";
  return {
    address: action,
    body: fields.toString(),
    words: `${how}${when ? ` after ${when}` : ""}, ${form.dataset.owed}`,
    refused: null,
  };
};

const stopTimer = (address: string, isStopped: boolean): void => {
  const timer = timerBeside(formOf(address));
  if (isStopped) timer?.setAttribute("data-stopped", "");
  else timer?.removeAttribute("data-stopped");
};

const throwAway = (one: Owed): void => {
  settleOwed(one);
  showOwed(throwAway);
  if (one.refused !== null && formOf(one.address)) location.reload();
  else stopTimer(one.address, false);
};

const keepBack = (request: Request, form: HTMLFormElement): void => {
  const one = owedBy(request, form);
  owe(one);
  showOwed(throwAway);
  stopTimer(one.address, true);
  arriveAtNote(one);
  void sendAll();
};

type Outcome = Readonly<{ kept: string } | { refused: string } | "away">;

const send = async ({ address, body }: Owed): Promise<Outcome> => {
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: { accept: "text/html", "content-type": "application/x-www-form-urlencoded" },
      body,
      signal: AbortSignal.timeout(patienceMs),
    });
    if (answer.redirected || answer.ok) return { kept: answer.url };
    if (answer.status === 401) (await import("../live/shutOut.ts")).tellShutOut();
    return isLeftUndone(answer) ? "away" : { refused: sentenceOn(await answer.text()) };
  } catch {
    return "away";
  }
};

const settled = (one: Owed, kept: string): void => {
  const isHere = formOf(one.address) !== null;
  settleOwed(one);
  showOwed(throwAway);
  if (!isHere) tellKept(one.words, kept);
  else void htmx.ajax("GET", kept, { target: "#main", select: "#main > *", swap: "innerHTML" });
};

const sendOne = async (one: Owed): Promise<void> => {
  const outcome = await send(one);
  if (outcome === "away") return;
  if ("kept" in outcome) return settled(one, outcome.kept);
  const refused = { ...one, refused: outcome.refused };
  owe(refused);
  showOwed(throwAway);
  arriveAtNote(refused);
};

let isSending = false;

/** Goes on until everything is kept, refused or thrown away. The same form sent from two pages is done once. */
const sendAll = async (): Promise<void> => {
  if (isSending) return;
  isSending = true;
  const waiting = () => owedList().filter(({ refused }) => refused === null);
  while (waiting().length > 0) {
    for (const one of waiting()) await sendOne(one);
    if (waiting().length > 0) await new Promise((resolve) => setTimeout(resolve, againMs));
  }
  isSending = false;
};

/** What an earlier page left unsent is shown and sent, whatever page is open now. */
export const sendOwed = (): void => {
  for (const { address, refused } of owedList()) if (refused === null) stopTimer(address, true);
  showOwed(throwAway);
  void sendAll();
};

/** A form that is never lost: sent while nobody answers, it is kept here and sent again. */
export const keepUnanswered = (element: HTMLElement): void => {
  const form = element as HTMLFormElement;
  const keepIfUnanswered = (event: Event): void => {
    const request = requestOf(event);
    if (request === null || !isUnanswered(request)) return;
    event.preventDefault();
    event.stopPropagation();
    keepBack(request, form);
  };
  form.addEventListener("htmx:error", keepIfUnanswered);
  form.addEventListener("htmx:before:response", keepIfUnanswered);
};

whenOwedElsewhere(() => showOwed(throwAway));
