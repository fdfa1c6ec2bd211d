import { bringIntoView } from "./inView.ts";
import { noteWith } from "./note.ts";
import { sentenceOn } from "./pageSentence.ts";
import { type Request, requestOf } from "./swapRequest.ts";

const nobody =
  "The server does not answer. What you typed still stands here; press again when it is back, and it is recorded once.";

/** Answers that stand in place of what was sent: done, or the form again with what is wrong. */
const isSwapped = ({ answer }: Request): boolean =>
  answer !== null && (answer.status < 400 || answer.status === 422);

const tell = (beside: Element, words: string): void => {
  const note = noteWith("refused", words);
  note.id = "unanswered";
  note.setAttribute("role", "alert");
  (beside.closest(".act, .outcomes") ?? beside).before(note);
  bringIntoView(note);
  note.focus({ preventScroll: true });
};

const forget = (): void => document.querySelector("#unanswered")?.remove();

const leaveStanding = async (event: Event): Promise<void> => {
  const request = requestOf(event);
  if (request === null || request.method !== "POST" || isSwapped(request)) return;
  event.preventDefault();
  const words = request.answer === null ? nobody : sentenceOn(await request.answer.text());
  forget();
  tell(request.sourceElement, words);
};

/** A form that could not be answered stays as it was typed, with the reason beside the button that was pressed. */
export const leaveUnansweredForms = (): void => {
  document.addEventListener("htmx:error", (event) => void leaveStanding(event));
  document.addEventListener("htmx:before:response", (event) => void leaveStanding(event));
  document.addEventListener("htmx:before:request", (event) => {
    if (requestOf(event)?.method === "POST") forget();
  });
};
