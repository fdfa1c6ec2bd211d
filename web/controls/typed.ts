import { remember, remembered } from "./remembered.ts";

type Field = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement;

const fieldsOf = (form: HTMLFormElement): readonly Field[] =>
  [...form.elements].filter((one): one is Field =>
    one.matches("input:not([type=hidden], [type=file]), textarea, select"),
  );

const asServed = (field: Field): string =>
  field instanceof HTMLSelectElement
    ? ([...field.options].find(({ defaultSelected }) => defaultSelected)?.value ?? "")
    : field.defaultValue;

/** What was typed into a form, and not sent, stands in it again wherever it is shown next: a swap takes no words away. */
export const keepTyped = (element: HTMLElement): void => {
  const form = element as HTMLFormElement;
  const key = `typed:${form.getAttribute("action")}`;
  const typed = JSON.parse(remembered(key) ?? "{}") as Record<string, string>;
  for (const field of fieldsOf(form)) field.value = typed[field.name] ?? field.value;
  const fold = form.closest("details");
  if (fold && Object.keys(typed).length > 0) fold.open = true;
  form.addEventListener("input", () => {
    const differing = fieldsOf(form).filter((field) => field.value !== asServed(field));
    const now = Object.fromEntries(differing.map(({ name, value }) => [name, value]));
    remember(key, differing.length === 0 ? null : JSON.stringify(now));
  });
  const forget = (): void => remember(key, null);
  form.addEventListener("submit", forget);
  form.addEventListener("htmx:before:swap", forget);
};
