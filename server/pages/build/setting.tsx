import type { BestAnswer } from "../../bench/best/bestSetting.ts";
import { type Goal, goalInWords, goals, type Use, useInWords, uses } from "../../bench/things/aim.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Setting, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

export type Wish = Readonly<{ goal: Goal; use: Use }>;

type Props = Readonly<{
  buildId: string;
  best: BestAnswer;
  wish: Wish;
  kept: Readonly<Record<string, string>>;
}>;

const Recommended = ({ best, buildId }: Pick<Props, "best" | "buildId">) => {
  const { setting, perWatt } = best;
  if (!setting) return <p class="lead">None yet.</p>;
  const { clockMhz, voltageMv, loadTempC, marginC, powerW, scorePerW, crashes } = setting;
  const facts = [
    crashes ?? "",
    loadTempC
      ? `${formatNumber(loadTempC.mid, 0)} °C under load (${formatNumber(loadTempC.low, 0)} to ${formatNumber(loadTempC.high, 0)})`
      : "",
    marginC === null ? "" : `${formatNumber(marginC, 0)} °C to spare in the hottest room`,
    powerW === null ? "" : `${formatNumber(powerW, 0)} W`,
    scorePerW === null
      ? ""
      : `${formatNumber(scorePerW, scorePerW < 10 ? 2 : 0)} ${perWatt?.scoreUnit ?? "of the score"} per watt`,
  ].filter(Boolean);
  return (
    <>
      <p class="lead">
        <b>
          <Setting clockMhz={clockMhz} voltageMv={voltageMv} />
        </b>
        {facts.length > 0 ? `: ${facts.join(", ")}.` : "."}
      </p>
      <Act>
        <ButtonLink href={paths.bench({ build: buildId, clockMhz, voltageMv, minutes: 60 })} first>
          Prove it for an hour
        </ButtonLink>
        <ButtonLink href={paths.settingNote(buildId, { clockMhz, voltageMv })}>
          As a note for the firmware page
        </ButtonLink>
      </Act>
    </>
  );
};

const WishForm = ({ buildId, wish, kept }: Omit<Props, "best">) => (
  <form method="get" action={`${paths.build(buildId)}#setting`}>
    {Object.entries(kept).map(([name, value]) => (
      <input key={name} type="hidden" name={name} value={value} />
    ))}
    <Fields>
      <ChoiceField
        name="goal"
        label="Looking for"
        value={wish.goal}
        choices={goals.map((goal) => ({ value: goal, title: goalInWords[goal] }))}
        required
      />
      <ChoiceField
        name="use"
        label="for"
        value={wish.use}
        hint="The longer nobody watches, the stricter."
        choices={uses.map((use) => ({ value: use, title: useInWords[use] }))}
        required
      />
    </Fields>
    <Act>
      <Button>Look again</Button>
    </Act>
  </form>
);

/** The setting to run for what it is wanted for, why, and what was passed over. */
export const BestSetting = ({ buildId, best, wish, kept }: Props) => (
  <>
    <Recommended best={best} buildId={buildId} />
    {best.because.map((because) => (
      <p key={because} class="prose">
        {because}
      </p>
    ))}
    {best.passedOver.length > 0 ? (
      <Fold title={`Why not the others: ${formatCount(best.passedOver.length, "setting")}`}>
        <ul class="rows">
          {best.passedOver.map(({ setting, because }) => (
            <li key={settingWords(setting)}>
              <b>{settingWords(setting)}</b>: {because}
            </li>
          ))}
        </ul>
      </Fold>
    ) : null}
    <Fold title="For another use, or with another aim">
      <WishForm buildId={buildId} wish={wish} kept={kept} />
    </Fold>
  </>
);
