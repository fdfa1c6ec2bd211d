import type { Attempt } from "../../bench/attempt.ts";
import type { Build, Mount } from "../../bench/build.ts";
import type { Picture } from "../../bench/picture.ts";
import type { Workload } from "../../bench/workload.ts";
import type { Edit } from "../../store/attemptEdits.ts";
import type { FormState } from "../forms.ts";

/** One attempt with everything that is known around it. */
export type AttemptShown = Readonly<{
  attempt: Attempt;
  build: Build | null;
  mount: Mount | null;
  workloads: readonly Workload[];
  edits: readonly Edit[];
  hasTrace: boolean;
  pictures: readonly Picture[];
  form: FormState;
  setAsideForm: FormState;
}>;
