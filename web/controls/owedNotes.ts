import { bringIntoView } from "./inView.ts";
import { noteWith } from "./note.ts";
import { isStored, type Owed, owedList } from "./owed.ts";
import { say } from "./said.ts";

/** Above what the page is about, so that a swap leaves it standing. */
const place = (): HTMLElement => {
  const standing = document.querySelector<HTMLElement>("#owed");
  if (standing) return standing;
  const made = document.createElement("aside");
  made.id = "owed";
  made.setAttribute("aria-label", "Not kept yet");
  document.querySelector("main")?.before(made);
  return made;
};

const sentence = ({ words, refused }: Owed): string => {
  if (refused !== null) return `${words}: not kept. ${refused}`;
  const meanwhile = isStored() ? "" : " Leave this page open: this browser keeps nothing by itself.";
  return `${words}: not kept yet; sent when the server answers.${meanwhile}`;
};

const noteOf = (one: Owed, throwAway: (one: Owed) => void): HTMLElement => {
  const away = document.createElement("button");
  away.type = "button";
  away.textContent = "Throw it away";
  away.addEventListener("click", () => throwAway(one));
  return noteWith(one.refused === null ? "caution" : "refused", sentence(one), away);
};

/** Every form that is owed, with a way to be rid of it. */
export const showOwed = (throwAway: (one: Owed) => void): void => {
  const list = owedList();
  if (list.length === 0) document.querySelector("#owed")?.remove();
  else place().replaceChildren(...list.map((one) => noteOf(one, throwAway)));
};

/** The note about it is what changed: it comes into view, has the focus and is said. */
export const arriveAtNote = (one: Owed): void => {
  const note = place().children[owedList().findIndex(({ address }) => address === one.address)];
  if (!(note instanceof HTMLElement)) return;
  bringIntoView(note);
  note.focus({ preventScroll: true });
  say(sentence(one));
};

/** For a page that is about something else: what was owed is kept by now. */
export const tellKept = (words: string, address: string): void => {
  const link = document.createElement("a");
  link.href = address;
  link.textContent = "To the bench";
  place().append(noteWith("done", `${words}: kept now.`, link));
  say(`${words}: kept now.`);
};
