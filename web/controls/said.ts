/** Says something to those who hear the page. The place is there from the start: one that comes with its words is often not heard. */
const place = (): HTMLElement => {
  const standing = document.querySelector<HTMLElement>("#said");
  if (standing) return standing;
  const made = document.createElement("p");
  made.id = "said";
  made.className = "unseen";
  made.setAttribute("role", "status");
  document.body.append(made);
  return made;
};

export const readyToSay = (): void => void place();

export const say = (words: string): void => {
  place().textContent = words;
};
