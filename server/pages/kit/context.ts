import type { SensorReading } from "../../bench/logs/sensor.ts";
import type { Assets } from "../../html/document.tsx";
import type { Admission } from "../../requests/admission.ts";
import type { Context } from "../../requests/context.ts";

/** What every page needs besides the journal and the time. */
export type PageContext = Context &
  Readonly<{
    assets: Assets;
    /** True where everything shown was made up. */
    demo: boolean;
    /** Lets an invented machine attend a build; in the demo alone. */
    inventMachine?(buildId: string): void;
    /** How other devices are let in; null where only this machine can reach the server. */
    admission: Admission | null;
    /** What the machine's own sensors read now; none where it shows none. */
    sensors(): Promise<readonly SensorReading[]>;
  }>;
