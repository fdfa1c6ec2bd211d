import type { FrontierWarning } from "../../bench/frontier/frontierWarnings.ts";
import { formatCount } from "../../html/format.ts";
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
    <>
      {attempts.map((id, i) => (
        <span key={id}>
          {i > 0 ? ", " : ""}
          <a href={paths.attempt(id)}>attempt{attempts.length > 1 ? ` ${i + 1}` : ""}</a>
        </span>
      ))}
    </>
  );
};

const Settling = ({ buildId, warning: { settledBy, voltageMv } }: OneProps) =>
  settledBy === undefined ? null : (
    <>
      . {settledBy.words}{" "}
      <a href={paths.bench({ build: buildId, clockMhz: settledBy.clockMhz, voltageMv })}>To the bench</a>
    </>
  );

const isHeat = ({ about }: FrontierWarning): boolean => about === "over-limit" || about === "tight";

/** Heat is said as a caution, once; the rest is what the reader should know of the figures. */
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
        <>
          <h3>Before relying on these figures</h3>
          <ul class="rows">
            {others.map((warning) => (
              <li key={`${warning.about} ${warning.voltageMv}`}>
                {warning.message} <Behind buildId={buildId} warning={warning} />
                <Settling buildId={buildId} warning={warning} />
              </li>
            ))}
          </ul>
        </>
      ) : null}
    </>
  );
};
