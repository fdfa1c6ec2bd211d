import type { PlainAdvice } from "../../bench/next/plainAdvice.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { formatCount, formatNumber } from "../../html/format.ts";
import { Clock, Setting } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

type Props = Readonly<{ buildId: string; advice: PlainAdvice | undefined; clockStepMhz: number }>;

const PassedOver = ({ advice }: { advice: PlainAdvice }) =>
  advice.passedOver.length === 0 ? null : (
    <Fold title={`Passed over: ${formatCount(advice.passedOver.length, "higher clock")}`}>
      <ul class="rows">
        {advice.passedOver.map(({ voltageMv, because }) => (
          <li key={voltageMv}>{because}</li>
        ))}
      </ul>
    </Fold>
  );

/** The setting to run, as far as the record alone can say. */
export const Advice = ({ buildId, advice, clockStepMhz }: Props) => {
  if (!advice)
    return (
      <p class="lead">
        None yet: no setting holds by the rule with its heat margin and under your ceiling. One more attempt
        at a lower voltage or clock would give one.
      </p>
    );
  const { clockMhz, voltageMv, heldMhz, marginC } = advice;
  return (
    <>
      <p class="lead">
        <b>
          <Setting clockMhz={clockMhz} voltageMv={voltageMv} />
        </b>
        : one step of {formatNumber(clockStepMhz)} MHz under <Clock mhz={heldMhz} />, the highest that held
        there, since the highest pass lies above the limit more often than not.
        {marginC === null
          ? " No temperature was read there, so its heat margin is unknown."
          : ` It leaves ${Math.round(marginC)} °C to the temperature limit in the hottest room.`}
      </p>
      <Act>
        <ButtonLink href={paths.bench({ build: buildId, clockMhz, voltageMv, minutes: 60 })} first>
          Prove it for an hour
        </ButtonLink>
      </Act>
      <PassedOver advice={advice} />
    </>
  );
};
