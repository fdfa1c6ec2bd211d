import type { Behaviour } from "../attach.ts";
import { remember, remembered } from "./remembered.ts";

const key = "machine-under-test";

/** Whether this browser runs on the machine under test: only then does its falling silent say when the run failed. */
export const isMachine = (): boolean => remembered(key) === "yes";

/** The box with which the reader says so, remembered by this browser. */
export const machineChoice: Behaviour = {
  on: "input[data-machine]",
  attach: (element) => {
    const box = element as HTMLInputElement;
    box.checked = isMachine();
    box.addEventListener("change", () => remember(key, box.checked ? "yes" : null));
  },
};
