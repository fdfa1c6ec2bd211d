import { remember, remembered } from "./remembered.ts";

/** Unsent text outlives a crash of this machine. It is let go once its form is sent. */
export const keepText = (element: HTMLElement): void => {
  const field = element as HTMLTextAreaElement | HTMLInputElement;
  const key = `unsent:${field.dataset.keep}`;
  const kept = remembered(key);
  if (kept !== null && field.value === "") field.value = kept;
  field.addEventListener("input", () => remember(key, field.value === "" ? null : field.value));
  field.form?.addEventListener("submit", () => remember(key, null));
};
