import { attachAll, type Behaviour } from "./attach.ts";
import { rememberFold } from "./controls/fold.ts";
import { localInstant } from "./controls/instant.ts";
import { pressByKey } from "./controls/keys.ts";
import { machineChoice } from "./controls/machine.ts";
import { localMoment } from "./controls/moment.ts";
import { remembered } from "./controls/remembered.ts";
import { readyToSay } from "./controls/said.ts";
import { ownZone } from "./controls/zone.ts";
import "./live/ownRequests.ts";

/** What only some pages need is fetched by those that have it. */
const fetched: readonly Behaviour[] = [
  { on: "[data-plot]", attach: async (figure) => (await import("./charts/plotChart.ts")).drawMarks(figure) },
  { on: "[data-lines]", attach: async (figure) => (await import("./charts/lineChart.ts")).drawLines(figure) },
  { on: "[data-dials]", attach: async () => (await import("./controls/dial.ts")).turnDials() },
  { on: "[data-timer]", attach: async (timer) => (await import("./controls/timer.ts")).runTimer(timer) },
  {
    on: "form[data-owed]",
    attach: async (form) => (await import("./controls/owing.ts")).keepUnanswered(form),
  },
  { on: "form[data-typed]", attach: async (form) => (await import("./controls/typed.ts")).keepTyped(form) },
  {
    on: "[data-seen]",
    attach: async (place) => (await import("./controls/sighting.ts")).offerSighting(place),
  },
  { on: "[data-save]", attach: (button) => button.addEventListener("click", saveChart) },
  { on: "form[data-guard]", attach: async (form) => (await import("./controls/guard.ts")).guardForm(form) },
  { on: "form[data-again]", attach: async (form) => (await import("./controls/again.ts")).askAgain(form) },
  { on: "[data-keep]", attach: async (field) => (await import("./controls/keep.ts")).keepText(field) },
  { on: "[data-narrow]", attach: async (fold) => (await import("./controls/narrow.ts")).foldOnPhone(fold) },
  { on: "[data-later]", attach: async (place) => (await import("./controls/later.ts")).fillLater(place) },
];

async function saveChart({ currentTarget }: Event): Promise<void> {
  const button = currentTarget as HTMLElement;
  await (await import("./controls/save.ts")).saveChart(button);
}

const served = document.querySelector("#main")?.innerHTML ?? "";
readyToSay();
if (remembered("owed") !== null) void import("./controls/owing.ts").then(({ sendOwed }) => sendOwed());
pressByKey();
attachAll([localMoment, localInstant, ownZone, machineChoice, rememberFold, ...fetched]);
void import("./live/live.ts").then(({ keepLive }) => keepLive(served));
