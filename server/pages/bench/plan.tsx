import type { BuildAnswer } from "../../answers/answerOf.ts";
import { chanceInWords } from "../../bench/next/nextWords.ts";
import { clockWords, type UnitOfClock } from "../../bench/things/words.ts";
import { formatDuration } from "../../html/format.ts";
import { useClockUnit } from "../kit/clockUnit.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import { benchAddress } from "./otherwise.tsx";
import type { Trying } from "./shown.ts";

/** What the time there is would go to if each passes; it is planned anew after every ending, until the time is up. */
export const Plan = ({ trying, answer }: Readonly<{ trying: Trying; answer: BuildAnswer }>) => {
  const { advice, asked } = trying;
  const { plan } = advice;
  const unit = useClockUnit();
  if (asked.minutes === null || plan === null) return null;
  const total = plan.reduce((sum, { expectedMinutes }) => sum + expectedMinutes, 0);
  return (
    <div class="plan">
      <p>
        <b>{formatDuration(60 * asked.minutes)} left.</b> If each passes, these; about{" "}
        {formatDuration(60 * Math.round(total))} with setting up, as some may fail early:{" "}
        <a href={benchAddress(trying, { until: null, load: null })}>Drop the plan</a>
      </p>
      <ol class="rows">
        {plan.map((one) => (
          <li key={`${one.clockMhz} ${one.voltageMv} ${one.durationS}`}>
            <SettingInWords {...one} /> for {formatDuration(one.durationS)}, passes{" "}
            {chanceInWords(one.chanceOfPass)}
          </li>
        ))}
      </ol>
      <p class="quiet">
        {advice.planEndsSearch ? "Then the search is over. " : ""}
        {gainInWords(asked.minutes, answer.nearer, unit)}
      </p>
    </div>
  );
};

/** What such bench time might bring, by the pace of the attempt that tells most. */
function gainInWords(minutes: number, nearer: BuildAnswer["nearer"], unit: UnitOfClock): string {
  if (nearer === null || nearer.gainMhz === null) return "";
  const gain = clockWords(Math.round(nearer.gainMhz), unit);
  return minutes >= nearer.minutes
    ? `So long might gain ${gain}.`
    : `It takes about ${nearer.minutes} minutes to gain perhaps ${gain}; this is part of them.`;
}
