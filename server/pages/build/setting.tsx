import type { BestAnswer } from "../../bench/best/bestSetting.ts";
import { type BuildAim, goalInWords, goals, useInWords, uses } from "../../bench/things/aim.ts";
import { Act, Button } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { ChoiceField, Fields } from "../../html/field.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { SettingInWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

type AimProps = Readonly<{ buildId: string; wish: BuildAim; kept: Readonly<Record<string, string>> }>;

const factsOf = ({ setting, perWatt }: BestAnswer): string[] => {
  if (setting === null) return [];
  const { loadTempC, powerW, scorePerW } = setting;
  return [
    loadTempC
      ? `${formatNumber(loadTempC.mid, 0)} °C under load (${formatNumber(loadTempC.low, 0)} to ${formatNumber(loadTempC.high, 0)})`
      : "",
    powerW === null ? "" : `${formatNumber(powerW, 0)} W`,
    scorePerW === null
      ? ""
      : `${formatNumber(scorePerW, scorePerW < 10 ? 2 : 0)} ${perWatt?.scoreUnit ?? "of the score"} per watt`,
  ].filter(Boolean);
};

const WishForm = ({ buildId, wish, kept }: AimProps) => (
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
      <Button>Ask that once</Button>
    </Act>
  </form>
);

/** Why it is the answer, what it comes to, and what was passed over for it. */
export const WhyThis = ({ best }: { best: BestAnswer }) => {
  const facts = factsOf(best);
  return (
    <>
      {facts.length > 0 ? <p class="lead">{facts.join(", ")}.</p> : null}
      {best.because.map((because) => (
        <p key={because} class="prose">
          {because}
        </p>
      ))}
      {best.passedOver.length > 0 ? (
        <Fold title={`Why not the others: ${formatCount(best.passedOver.length, "setting")}`}>
          <ul class="rows">
            {best.passedOver.map(({ setting, because }) => (
              <li key={`${setting.clockMhz} ${setting.voltageMv}`}>
                <b>
                  <SettingInWords {...setting} />
                </b>
                : {because}
              </li>
            ))}
          </ul>
        </Fold>
      ) : null}
    </>
  );
};

/** The same record asked another question than the build's own aim; never a headline. */
export const AnotherQuestion = ({ buildId, wish, kept, best }: AimProps & { best: BestAnswer | null }) => (
  <>
    <h2>
      Asked instead for {goalInWords[wish.goal]}, for {useInWords[wish.use]}
    </h2>
    <p class="quiet">
      This is not what the build is after. <a href={paths.build(buildId)}>Back to its own answer</a>
    </p>
    {best === null ? (
      <p class="quiet">It is being worked out.</p>
    ) : (
      <>
        <p class="lead">
          {best.setting === null ? (
            "None yet."
          ) : (
            <>
              <SettingInWords {...best.setting} />.
            </>
          )}
        </p>
        <WhyThis best={best} />
      </>
    )}
    <AskedOtherwise buildId={buildId} wish={wish} kept={kept} />
  </>
);

export const AskedOtherwise = (props: AimProps) => (
  <Fold title="Asked once for another use or goal">
    <WishForm {...props} />
  </Fold>
);
