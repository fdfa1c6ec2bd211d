import { clocksDisagree, type LoadedClock } from "../../bench/heat/loadedClock.ts";
import type { Beside } from "../../bench/heat/measuredBeside.ts";
import { clockWords } from "../../bench/things/words.ts";
import { Act, Button } from "../../html/act.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatMilli, formatNumber } from "../../html/format.ts";
import { paths } from "../paths.ts";
import type { HeatShown } from "./shown.ts";

export const hasBeside = ({ beside, figures }: HeatShown): boolean =>
  beside.length > 0 || clocksDisagree(figures?.clocks ?? []);

/** Where the trace and what was typed say different things: which counts, and the way to the other. */
export const TypedBeside = ({ shown }: { shown: HeatShown }) => {
  const { attempt, beside, figures } = shown;
  const clocks = figures?.clocks ?? [];
  return (
    <>
      {beside.length > 0 ? (
        <form method="post" action={paths.heatMeasured(attempt.id)}>
          <ul class="rows">
            {beside.map((one) => (
              <li key={one.name}>{besideWords(one)}</li>
            ))}
          </ul>
          <Act>
            {beside.some(({ used }) => used === "typed") ? (
              <Button name="use" value="log">
                Count what the log shows
              </Button>
            ) : null}
            {beside.some(({ used }) => used === "measured") ? (
              <Button name="use" value="typed">
                Count what was typed
              </Button>
            ) : null}
          </Act>
        </form>
      ) : null}
      {clocksDisagree(clocks) ? (
        <WhichClock clocks={clocks} attemptId={attempt.id} standing={attempt.effectiveClockMhz} />
      ) : null}
    </>
  );
};

const fieldWords: Readonly<Record<Beside["name"], string>> = {
  clockMhz: "clock",
  effectiveClockMhz: "effective clock",
  throttled: "throttled",
  ambientC: "room",
  powerW: "power",
  loadVoltageMv: "voltage under load",
  loadTempC: "load temperature",
  peakTempC: "hottest",
};

const figureWords = (name: Beside["name"], value: Beside["typed"]): string => {
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (value === null) return "nothing";
  if (name === "clockMhz" || name === "effectiveClockMhz") return clockWords(value, "MHz");
  if (name === "loadVoltageMv") return `${formatMilli(value)}\u00a0V`;
  return `${formatNumber(value, 1)}\u00a0${name === "powerW" ? "W" : "°C"}`;
};

function besideWords({ name, typed, measured, used }: Beside): string {
  const [was, read] = [figureWords(name, typed), figureWords(name, measured)];
  if (name !== "clockMhz")
    return `The ${fieldWords[name]} was typed as ${was}, and the log shows ${read}; ${used === "measured" ? "the log's counts" : "what was typed counts"}.`;
  return used === "measured"
    ? `Set to ${was}, and the log shows ${read} under load: frontier, limit and comparison count it at ${read}, and nothing of it speaks of ${was}.`
    : `Set to ${was}, and the log shows ${read} under load; it is counted as typed.`;
}

const WhichClock = ({
  clocks,
  attemptId,
  standing,
}: {
  clocks: readonly LoadedClock[];
  attemptId: string;
  standing: number | null;
}) => {
  const spoken = clocks.find(({ mhz }) => mhz === standing);
  return (
    <form method="post" action={paths.heatMeasured(attemptId)}>
      <p class="prose">
        {spoken
          ? `The clocks of the log disagree; it is counted at ${clockWords(spoken.mhz, "MHz")}, as ${spoken.channel} shows.`
          : "The clocks of the log disagree by more than 2 %. Which of them was under load? Until that is said, the set clock counts."}
      </p>
      <Fields>
        <ChoiceField
          name="clock"
          label="Clock under load"
          value={spoken?.channel ?? clocks[0]?.channel ?? ""}
          choices={clocks.map(({ channel, mhz }) => ({
            value: channel,
            title: `${channel}, ${clockWords(mhz, "MHz")}`,
          }))}
        />
      </Fields>
      <Act>
        <Button>Count that clock</Button>
      </Act>
    </form>
  );
};
