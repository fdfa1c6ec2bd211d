import type { SensorReading } from "../../bench/logs/sensor.ts";
import type { Assets } from "../../html/document.tsx";
import type { Context } from "../../requests/context.ts";

/** What every page needs besides the journal and the time. */
export type PageContext = Context &
  Readonly<{
    assets: Assets;
    /** True where everything shown was made up. */
    demo: boolean;
    /** What the machine's own sensors read now; none where it shows none. */
    sensors(): Promise<readonly SensorReading[]>;
  }>;
