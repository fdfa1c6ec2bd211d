import type { ComponentChildren } from "preact";
import type { FittedLimit, LimitAnswer } from "../../bench/limit/limitCurve.ts";
import { formatNumber } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import type { HeldPoint } from "../kit/furthest.ts";
import { Clock, Setting } from "../kit/settingWords.tsx";
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
      The rule counts <Setting clockMhz={top.heldMhz} voltageMv={top.voltageMv} /> as held; by the whole
      record nine in ten one-hour runs pass there only up to <Clock mhz={Math.round(near.limitMhz)} />
      {near.highMhz === null ? "" : ` (${formatNumber(near.lowMhz, 0)} to ${formatNumber(near.highMhz, 0)})`}.
      A long enough pass is not yet a safe clock.
    </Note>
  );
};

type Props = Readonly<{
  limit: LimitAnswer | null;
  top: HeldPoint | undefined;
  isFresh: boolean;
  /** What follows the sentence. */
  children: ComponentChildren;
}>;

/** What the fitted limit adds to the record, or what it still needs. */
export const LimitWords = ({ limit, top, isFresh, children }: Props) => {
  if (limit === null) return <p class="quiet">The limit is being worked out from the whole record.</p>;
  if (limit.state !== "fitted")
    return (
      <p>
        No limit is fitted yet: {limit.because} {limit.needs}
      </p>
    );
  return (
    <>
      <p class="lead">
        {limit.sentence}
        {children}
      </p>
      {isFresh ? null : <p class="quiet">An attempt came in since; this is being worked out anew.</p>}
      {top ? <Disagreement limit={limit} top={top} /> : null}
    </>
  );
};

/** What the fit noticed, and records that do not fit the others. */
export const LimitNotes = ({ limit }: { limit: LimitAnswer | null }) => {
  if (limit?.state !== "fitted") return null;
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
