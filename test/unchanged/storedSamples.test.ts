import { expect, it } from "vitest";
import * as attempts from "../../server/actions/attempts.ts";
import { keepSamples } from "../../server/actions/samples.ts";
import { countAsSaid, endWithOutput, fillFromTrace } from "../../server/actions/traceFigures.ts";
import type { Attempt } from "../../server/bench/things/attempt.ts";
import { heldJournal, writingOn } from "./heldJournal.ts";
import { telling } from "./telling.ts";

it("samples of an attempt, and what its trace says of it, are kept and counted as before", async () => {
  const { tell, told } = telling();
  const held = heldJournal(94);
  const { journal, otherId, loadId, attemptId } = held;
  const write = writingOn(held);
  const running = write((at) =>
    attempts.recordAttempt(
      otherId,
      { workloadId: loadId, clockMhz: 4100, voltageMv: 1200, outcome: "running" },
      at,
    ),
  ).id;
  const sent = (t: readonly number[], values: Readonly<Record<string, readonly number[]>>) => ({
    ...{ t, skipped: [], channels: Object.keys(values).map((channel) => ({ channel, unit: "" })) },
    values: Object.values(values),
  });
  const heard = () => journal.attempts.lastHeartbeat(running, "machine");
  for (const [name, [t, values]] of Object.entries<
    readonly [readonly number[], Readonly<Record<string, readonly number[]>>]
  >({
    none: [[], {}],
    "a first": [[0, 1], { temperature: [40, 41], power: [90, Number.NaN] }],
    "the same again": [[0, 1], { temperature: [40, 41] }],
    "the coldest": [[2], { temperature: [-100], power: [0] }],
    "colder yet, and none": [[3], { temperature: [-99.9], power: [-0.1] }],
    hottest: [[4], { temperature: [200], power: [5000] }],
    "just under": [[5], { temperature: [199.9], power: [5000.1] }],
    "out of order": [[9, 7, 8], { temperature: [50, 51, Number.NaN], fan: [900, 901, 902] }],
    earlier: [[6], { temperature: [49] }],
  })) {
    tell(name, () => write((at) => keepSamples(running, sent(t, values), at)));
    tell("  heard", () => JSON.stringify(heard()));
  }
  const many = (count: number) =>
    sent([20], Object.fromEntries(Array.from({ length: count }, (_, at) => [`c${at}`, [at]])));
  for (const count of [60, 61, 62, 197, 198, 500])
    tell(`${count} channels more`, () => write((at) => keepSamples(running, many(count), at)));
  tell("of no attempt", () => write((at) => keepSamples("none", sent([1], {}), at)));
  tell("of an ended one", () => write((at) => keepSamples(attemptId, sent([1], { temperature: [40] }), at)));
  tell("  heard", () => JSON.stringify(journal.attempts.lastHeartbeat(attemptId, "machine")));
  const seconds = Array.from({ length: 900 }, (_, at) => 30 + at);
  const loaded = sent(seconds, {
    temperature: seconds.map((t) => (t < 60 ? 35 : Math.round(10 * (80 - 3000 / t)) / 10)),
    power: seconds.map((t) => (t < 60 ? 12 : 120 + (t % 3))),
    ambient: seconds.map(() => 22.5),
    clock: seconds.map((t) => (t < 60 ? 800 : 4095 + (t % 2))),
  });
  tell("a run", () => write((at) => keepSamples(running, loaded, at)));
  tell("filled while it runs", () => write((at) => fillFromTrace(running, at)).loadTempC);
  tell("counted while it runs", () => write((at) => countAsSaid(running, { use: "log" }, null, at)));
  const figuresOf = ({
    loadTempC,
    peakTempC,
    ambientC,
    powerW,
    effectiveClockMhz,
    version,
    outcome,
  }: Attempt) => ({
    ...{ loadTempC, peakTempC, ambientC, powerW, effectiveClockMhz, version, outcome },
  });
  tell("ended", () =>
    figuresOf(
      write((at) =>
        endWithOutput(running, { outcome: "pass", durationS: 900, powerW: 99, output: "" }, null, at),
      ),
    ),
  );
  tell("  output", () => journal.attempts.outputOf(running));
  tell("filled again", () => figuresOf(write((at) => fillFromTrace(running, at))));
  tell("filled from nothing", () => figuresOf(write((at) => fillFromTrace(running, at, null))));
  const measured = {
    loadTempC: 70,
    peakTempC: 72,
    ambientC: 21,
    powerW: 130,
    loadVoltageMv: null,
    effectiveClockMhz: 4080,
    throttled: false,
  };
  const figures = {
    measured,
    clocks: [{ channel: "clock", mhz: 4077, share: 1 }],
    throttledS: 0,
  } as unknown as Parameters<typeof countAsSaid>[2];
  for (const said of [
    { use: "log" },
    { use: "typed" },
    { clock: "clock" },
    { clock: "none" },
    { use: "log" },
  ] as const)
    tell(`counted by ${JSON.stringify(said)}`, () =>
      figuresOf(write((at) => countAsSaid(running, said as Parameters<typeof countAsSaid>[1], figures, at))),
    );
  tell("counted without a trace", () => write((at) => countAsSaid(running, { use: "log" }, null, at)));
  tell("filled from a known", () => figuresOf(write((at) => fillFromTrace(attemptId, at, figures))));
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedSamples.txt");
});
