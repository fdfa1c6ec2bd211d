const contents = (form: HTMLFormElement): string =>
  JSON.stringify([...new FormData(form)].map(([name, value]) => [name, String(value)]));

/** Leaving a form with something typed in it asks first. */
export const guardForm = (element: HTMLElement): void => {
  const form = element as HTMLFormElement;
  const before = contents(form);
  let sent = false;
  form.addEventListener("submit", () => {
    sent = true;
  });
  addEventListener("beforeunload", (event) => {
    if (form.isConnected && !sent && contents(form) !== before) event.preventDefault();
  });
};
