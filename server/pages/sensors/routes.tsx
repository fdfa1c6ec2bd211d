import type { FastifyInstance } from "fastify";
import { chooseSensors } from "../../actions/captureSensors.ts";
import { channelsOfKind, type SensorChoice, type SensorReading } from "../../bench/logs/sensor.ts";
import { invalid } from "../../bench/things/refusal.ts";
import { pageHtml } from "../../html/document.tsx";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";
import { SensorsPage } from "./view.tsx";

/** Which of the machine's own sensors are recorded; off until it is turned on here. */
export function registerSensorsPage(app: FastifyInstance, context: PageContext): void {
  const { journal, now, sensors } = context;

  const pageWith = (readings: readonly SensorReading[], form: FormState): string => {
    const chosen = journal.captureSensors.chosen();
    const isOn = journal.captureSensors.recorded().length > 0;
    return pageHtml(
      <SensorsPage frame={frameOf(context, "heat")} shown={{ readings, chosen, isOn, form }} />,
    );
  };

  app.get("/sensors", async (_request, reply) => sendPage(reply, pageWith(await sensors(), freshForm())));

  app.post("/sensors", async (request, reply) => {
    const typed = typedIn(request.body);
    const readings = await sensors();
    try {
      const choices = choicesTyped(typed, readings);
      if (typed.recorded === "true" && choices.length === 0)
        throw invalid("Choose at least one sensor to record.");
      await journal.write(() => chooseSensors(choices, typed.recorded === "true", { journal, now: now() }));
      return reply.redirect(paths.sensors(), 303);
    } catch (error) {
      return sendPage(reply, pageWith(readings, formAfter(error, { recorded: "", ...typed })), 422);
    }
  });
}

const choicesTyped = (typed: Typed, readings: readonly SensorReading[]): readonly SensorChoice[] =>
  readings.flatMap(({ sensor }): SensorChoice[] => {
    const choice = typed[`sensor ${sensor.id}`] ?? "";
    if (choice !== "own" && !channelsOfKind[sensor.kind].some((channel) => channel === choice)) return [];
    return [
      {
        sensor: sensor.id,
        channel: choice === "own" ? `${sensor.device} ${sensor.label}`.slice(0, 80) : choice,
      },
    ];
  });
