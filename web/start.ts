import { attachAll, type Behaviour } from "./attach.ts";
import { turnDials } from "./controls/dial.ts";
import { guardForm } from "./controls/guard.ts";
import { keepText } from "./controls/keep.ts";
import { pressByKey } from "./controls/keys.ts";
import { machineChoice } from "./controls/machine.ts";
import { localMoment } from "./controls/moment.ts";
import { saveCharts } from "./controls/save.ts";
import { runTimer } from "./controls/timer.ts";

/** Charts bring a library with them: only a page that has one loads it. */
const drawChart: Behaviour = {
  on: "[data-chart]",
  attach: async (figure) => (await import("./charts/draw.ts")).draw(figure),
};

turnDials();
pressByKey();
saveCharts();
attachAll([drawChart, guardForm, keepText, localMoment, machineChoice, runTimer]);
