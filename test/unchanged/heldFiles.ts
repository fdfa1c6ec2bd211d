import { recordAttempt } from "../../server/actions/attempts.ts";
import { schemasIn } from "../../server/store/file/journal.ts";
import { heldJournal, heldNow, heldOptions } from "./heldJournal.ts";
import { telling } from "./telling.ts";

export const options = heldOptions(95);
/** How many schemas there are. */
export const known = schemasIn(options.migrations);

/** Told without where files lie, when they were written, and how long a schema makes them. */
export function tellingOfFiles() {
  const { tell, told } = telling();
  return {
    tell,
    told: () =>
      told()
        .replace(/[^ "]*\/rungbook-held-\w+/g, "")
        .replace(/after \d{4}-\d\d-\d\d \d\d:\d\d UTC/g, "after then")
        .replace(/should have \d+ bytes and has \d{5,}/g, "should have more bytes than it has"),
  };
}

/** A closed journal with some attempts, a trace, an output and edits. */
export function closedJournal(count = 40): string {
  const held = heldJournal(95);
  const { journal, at, buildId, loadId, attemptId } = held;
  journal.writeNow(() => {
    for (let n = 0; n < count; n += 1)
      recordAttempt(
        buildId,
        {
          workloadId: loadId,
          clockMhz: 4000 + n,
          voltageMv: 1200,
          outcome: "pass",
          durationS: 60 + n,
          note: `run ${n}`,
        },
        at,
      );
    journal.attempts.keepOutput(attemptId, "wrong at 7");
    const t = Array.from({ length: 5000 }, (_, row) => row);
    const channels = [{ channel: "temperature", unit: "" }];
    journal.traces.append(attemptId, { channels, t, values: [t.map((row) => row % 90)] }, null, heldNow);
    journal.attempts.noteHanging(attemptId, "trace", heldNow);
  });
  journal.close();
  return journal.file;
}
