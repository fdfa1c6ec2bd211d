import type { FrontierWarning } from "../../bench/frontier/frontierWarnings.ts";
import { Fold } from "../../html/entry.tsx";
import { formatCount, formatMilli } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";

type Props = Readonly<{ buildId: string; warnings: readonly FrontierWarning[] }>;

type OneProps = Readonly<{ buildId: string; warning: FrontierWarning }>;

const few = 3;

/** The attempts a warning speaks of: one by one while they are few. */
const Behind = ({ buildId, warning }: OneProps) => {
  const { attempts, voltageMv } = warning;
  if (attempts.length === 0) return null;
  if (attempts.length > few)
    return <a href={paths.attempts(buildId, { voltageMv })}>{formatCount(attempts.length, "attempt")}</a>;
  return (
    <span class="behind">
      {attempts.map((id, i) => (
        <span key={id}>
          {i > 0 ? ", " : ""}
          <a href={paths.attempt(id)}>attempt{attempts.length > 1 ? ` ${i + 1}` : ""}</a>
        </span>
      ))}
    </span>
  );
};

const Settling = ({ buildId, warning: { settledBy, voltageMv } }: OneProps) =>
  settledBy === undefined ? null : (
    <>
      . {settledBy.words}{" "}
      <a href={paths.bench({ build: buildId, clockMhz: settledBy.clockMhz, voltageMv })}>To the bench</a>
    </>
  );

/** What several voltages have in common is said once, with what is known of each below it. */
const common: Partial<Record<FrontierWarning["about"], string>> = {
  contested: "Contested: a crash is on record at that or an easier setting",
  "heat-excused": "Near the temperature limit: crashes not held against lower voltages",
  "no-ambient": "No room temperature with the passes held: margin not corrected for the room",
  "not-levelled": "Passes too short: the temperature may not have levelled out",
};

const byKind = (warnings: readonly FrontierWarning[]): readonly (readonly FrontierWarning[])[] => {
  const kinds = new Map<string, FrontierWarning[]>();
  for (const warning of warnings) kinds.set(warning.about, [...(kinds.get(warning.about) ?? []), warning]);
  return [...kinds.values()];
};

/** Several of a kind: the kind in words, then a line a voltage. */
const Kind = ({ buildId, warnings }: Props) => {
  const [first] = warnings;
  const title = first && common[first.about];
  if (title === undefined || warnings.length === 1)
    return (
      <>
        {warnings.map((warning) => (
          <li key={`${warning.about} ${warning.voltageMv}`}>
            {warning.message} <Behind buildId={buildId} warning={warning} />
            <Settling buildId={buildId} warning={warning} />
          </li>
        ))}
      </>
    );
  return (
    <li>
      {title}.
      <ul class="each">
        {warnings.map((warning) => (
          <li key={warning.voltageMv}>
            <b>{formatMilli(warning.voltageMv)} V</b>: <Behind buildId={buildId} warning={warning} />
            <Settling buildId={buildId} warning={warning} />
          </li>
        ))}
      </ul>
    </li>
  );
};

const isHeat = ({ about }: FrontierWarning): boolean => about === "over-limit" || about === "tight";

/** Heat is said as a caution, once; the rest is a tap away: what the reader should know of the figures. */
export const Warnings = ({ buildId, warnings }: Props) => {
  const heat = warnings.filter(isHeat).at(-1);
  const others = warnings.filter((warning) => !isHeat(warning));
  return (
    <>
      {heat ? (
        <Note>
          {heat.message} A longer run, a dusty filter or a warm day takes more.{" "}
          <Behind buildId={buildId} warning={heat} />
        </Note>
      ) : null}
      {others.length > 0 ? (
        <Fold title={`Before relying on these figures: ${formatCount(others.length, "remark")}`}>
          <ul class="rows">
            {byKind(others).map((some) => (
              <Kind key={some[0]?.about} buildId={buildId} warnings={some} />
            ))}
          </ul>
        </Fold>
      ) : null}
    </>
  );
};
