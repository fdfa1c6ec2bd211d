/**
 * A form that asks the same page again: what answers it is put in place, the form and the reader stay where they are.
 * Without script it is sent like any other.
 */
export const askAgain = (element: HTMLElement): void => {
  const form = element as HTMLFormElement;
  const ids = (form.dataset.again ?? "").split(" ");
  let asked = 0;
  const addressOf = (): URL => {
    const address = new URL(form.action);
    const fields = [...new FormData(form)].filter(([, value]) => value !== "");
    address.search = new URLSearchParams(fields.map(([name, value]) => [name, String(value)])).toString();
    return address;
  };
  const ask = async (): Promise<void> => {
    asked += 1;
    const mine = asked;
    const address = addressOf();
    const answer = await fetch(address, { headers: { accept: "text/html" } }).catch(() => undefined);
    if (mine !== asked) return;
    if (!answer?.ok) {
      form.submit();
      return;
    }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const focused = document.activeElement?.getAttribute("aria-label");
    const block = page.querySelector("script[data-charts]");
    if (block) document.body.append(document.adoptNode(block));
    for (const id of ids) {
      const fresh = page.getElementById(id);
      if (fresh) document.getElementById(id)?.replaceWith(document.adoptNode(fresh));
    }
    history.replaceState(history.state, "", address);
    refocus(focused);
  };
  form.addEventListener("change", () => void ask());
};

/** An edge that was pushed by key is pushed again; the drawing comes a moment after its figure. */
function refocus(label: string | null | undefined, tries = 20): void {
  if (!label || document.activeElement !== document.body) return;
  const found = document.querySelector<HTMLElement>(`main [aria-label="${CSS.escape(label)}"]`);
  if (found) found.focus({ preventScroll: true });
  else if (tries > 0) requestAnimationFrame(() => refocus(label, tries - 1));
}
