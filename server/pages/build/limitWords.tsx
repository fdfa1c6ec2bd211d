import type { ComponentChildren } from "preact";
import { knobStepInWords } from "../../bench/limit/knobSteps.ts";
import type { FittedLimit, LimitAnswer } from "../../bench/limit/limitCurve.ts";
import { Fold } from "../../html/entry.tsx";
import { formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import type { HeldPoint } from "../kit/furthest.ts";
import { Clock, SettingInWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";

const limitNear = ({ curve }: FittedLimit, voltageMv: number) =>
  curve.reduce<(typeof curve)[number] | undefined>(
    (best, point) =>
      best === undefined || Math.abs(point.voltageMv - voltageMv) < Math.abs(best.voltageMv - voltageMv)
        ? point
        : best,
    undefined,
  );

/** Where the acceptance rule and the target disagree about the headline, the reader hears it from us. */
const Disagreement = ({ limit, top }: { limit: FittedLimit; top: HeldPoint }) => {
  const near = limitNear(limit, top.voltageMv);
  if (!near || near.limitMhz === null || near.limitMhz >= top.heldMhz) return null;
  return (
    <Note kind="plain">
      The rule counts <SettingInWords clockMhz={top.heldMhz} voltageMv={top.voltageMv} /> as held; by the
      whole record nine in ten one-hour runs pass there only up to <Clock mhz={Math.round(near.limitMhz)} />
      {near.highMhz === null ? "" : ` (${formatNumber(near.lowMhz, 0)} to ${formatNumber(near.highMhz, 0)})`}.
      A long enough pass is not yet a safe clock.
    </Note>
  );
};

type Props = Readonly<{
  limit: FittedLimit;
  top: HeldPoint | undefined;
  /** What follows the sentence. */
  children: ComponentChildren;
}>;

/** What the fitted limit adds to the record. */
export const LimitWords = ({ limit, top, children }: Props) => (
  <>
    <p>
      {limit.sentence}
      {children}
    </p>
    {top ? <Disagreement limit={limit} top={top} /> : null}
  </>
);

/** That there is none yet, and what it still needs. */
export const NoLimit = ({ limit }: { limit: Exclude<LimitAnswer, FittedLimit> | null }) =>
  limit === null ? (
    <p class="quiet">The limit is being worked out from the whole record.</p>
  ) : (
    <p>
      No limit is fitted yet: {limit.because} {limit.needs}
    </p>
  );

/** What moving one knob would buy, all else as it stands now. */
export const KnobsBuy = ({ limit: { knobs }, unit }: { limit: FittedLimit; unit: string }) =>
  knobs.length === 0 ? null : (
    <Fold title="What one step would buy">
      <ul class="rows">
        {knobs.map(({ gainMhz, ...step }) => (
          <li key={`${step.knobId} ${String(step.to)}`}>
            {knobStepInWords({ ...step, gain: gainMhz }, unit)}
          </li>
        ))}
      </ul>
    </Fold>
  );

/** What the fit noticed, and records that do not fit the others. */
export const LimitNotes = ({ limit }: { limit: FittedLimit }) => {
  const { notes, doubtful } = limit;
  if (notes.length + doubtful.length === 0) return null;
  return (
    <ul class="rows">
      {notes.map((note) => (
        <li key={note}>{note}</li>
      ))}
      {doubtful.map((record) => (
        <li key={record.attemptId}>
          {record.because} {record.settledBy} <a href={paths.attempt(record.attemptId)}>attempt</a>
        </li>
      ))}
    </ul>
  );
};
