import type { WorkOfAttempt } from "../../answers/workOfAttempt.ts";
import type { GaveWay } from "../../bench/document/gaveWay.ts";
import type { Picture } from "../../bench/pictures/picture.ts";
import type { Attempt } from "../../bench/things/attempt.ts";
import type { Build, Mount } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import type { Workload } from "../../bench/things/workload.ts";
import type { Edit } from "../../store/attempts/attemptEdits.ts";
import type { FormState } from "../kit/forms.ts";

/** One attempt with everything that is known around it. */
export type AttemptShown = Readonly<{
  attempt: Attempt;
  build: Build | null;
  chip: Chip | undefined;
  mount: Mount | null;
  workloads: readonly Workload[];
  edits: readonly Edit[];
  /** Traces and outputs that gave way when journals were merged, the latest first. */
  gaveWay: readonly GaveWay[];
  hasTrace: boolean;
  /** What its load printed, as the machine under test told it; null where nobody did. */
  output: string | null;
  pictures: readonly Picture[];
  work: WorkOfAttempt;
  form: FormState;
  setAsideForm: FormState;
}>;
