import { type Outcome, outcomeClass, outcomeWords } from "../../bench/things/outcome.ts";

/** The same shapes as on the charts: a full dot passed, a half stopped, a cross crashed, a triangle got too hot. */
const shapes = {
  pass: { path: "M2,7a5,5 0 1 0 10,0a5,5 0 1 0 -10,0", full: true, tone: "ink" },
  stopped: { path: "M2,7a5,5 0 0 1 10,0Z", full: true, tone: "ink" },
  crash: { path: "M2.5,2.5l9,9m0,-9l-9,9", full: false, tone: "fault" },
  thermal: { path: "M7,2l5,9.5h-10Z", full: false, tone: "warm" },
  nothing: { path: "M2,7h10", full: false, tone: "quiet" },
  running: { path: "M2,7a5,5 0 1 0 10,0a5,5 0 1 0 -10,0", full: false, tone: "lead" },
} as const;

/** A narrow list says the first of it. */
const Words = ({ outcome }: { outcome: Outcome }) => {
  const [, first, rest] = /^(.*?)( to defaults)?$/.exec(outcomeWords[outcome]) ?? [];
  return (
    <>
      {first}
      {rest ? <span class="on-wide">{rest}</span> : null}
    </>
  );
};

/** How an attempt ended, by shape, hue and word. */
export const OutcomeMark = ({ outcome }: { outcome: Outcome }) => {
  const { path, full, tone } = shapes[outcomeClass(outcome)];
  const ink = `var(--tone-${tone})`;
  return (
    <span class={`ended ${tone}`}>
      <svg viewBox="0 0 14 14" width="14" height="14" aria-hidden="true">
        <path d={path} fill={full ? ink : "none"} stroke={ink} stroke-width={full ? 1 : 2} />
      </svg>{" "}
      <Words outcome={outcome} />
    </span>
  );
};
