import { asc } from "drizzle-orm";
import type { SensorChoice } from "../../bench/logs/sensor.ts";
import { toMs } from "../rows/columns.ts";
import type { Db } from "../rows/db.ts";
import { whenAsked } from "../rows/statements.ts";
import { captureSensors } from "./captureSchema.ts";

/** Which of the machine's own sensors are recorded while an attempt runs. Off until the tester turns it on. */
export function captureSensorStore(db: Db) {
  const all = whenAsked(() => db.select().from(captureSensors).orderBy(asc(captureSensors.sensor)).prepare());
  return {
    /** As chosen, whether they are recorded at present or not. */
    chosen: (): readonly SensorChoice[] =>
      all()
        .all()
        .map(({ sensor, channel }) => ({ sensor, channel })),
    recorded: (): readonly SensorChoice[] =>
      all()
        .all()
        .flatMap(({ sensor, channel, recorded }) => (recorded ? [{ sensor, channel }] : [])),
    keep(choices: readonly SensorChoice[], recorded: boolean, now: string): void {
      db.delete(captureSensors).run();
      for (const choice of choices)
        db.insert(captureSensors)
          .values({ ...choice, recorded, chosenAt: toMs(now) })
          .run();
    },
  };
}
