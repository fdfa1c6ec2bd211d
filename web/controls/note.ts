/** A note as the pages have it, made here. It can have the focus. */
export const noteWith = (kind: string, words: string, ...more: readonly Node[]): HTMLElement => {
  const note = document.createElement("div");
  note.className = `note ${kind}`;
  note.tabIndex = -1;
  const said = document.createElement("p");
  said.textContent = words;
  note.append(said, ...more);
  return note;
};
