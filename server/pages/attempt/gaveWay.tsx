import type { GaveWay, GaveWayTrace } from "../../bench/document/gaveWay.ts";
import { whenWritten } from "../../bench/document/stamp.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Fold } from "../../html/entry.tsx";
import { formatDuration, formatList, formatNumber } from "../../html/format.ts";
import { Moment } from "../../html/quantity.tsx";
import { paths } from "../paths.ts";

/** What gave way when journals were merged, each to be looked at and brought back. */
export const GaveWayList = ({ id, gaveWay }: Readonly<{ id: string; gaveWay: readonly GaveWay[] }>) =>
  gaveWay.length === 0 ? null : (
    <ul class="rows">
      {gaveWay.map((one) => (
        <li key={`${one.what} ${one.stamp}`}>
          <Moment at={whenWritten(one.stamp)} />:{" "}
          {one.what === "trace" ? traceWords(one.trace) : "other words of its load"}{" "}
          <em>(written on two benches apart; what stands now took its place)</em>
          {one.what === "output" ? (
            <Fold title="What its load printed there">
              <pre class="printed" tabindex={0}>
                {one.output}
              </pre>
            </Fold>
          ) : null}
          <form method="post" action={paths.gaveWayBack(id, one.stamp)}>
            <Act>
              <Button>Bring it back</Button>
              {one.what === "trace" ? (
                <ButtonLink href={paths.gaveWay(id, one.stamp)}>Its values as CSV</ButtonLink>
              ) : null}
            </Act>
          </form>
        </li>
      ))}
    </ul>
  );

function traceWords({ rows, every, fromS, toS, channels }: GaveWayTrace): string {
  const names = formatList(channels.slice(0, 3).map(({ channel }) => channel));
  const more = channels.length > 3 ? ` and ${formatNumber(channels.length - 3)} more` : "";
  const thinned = every > 1 ? `, of which every ${formatNumber(every)}th row was kept` : "";
  return `another trace: ${names}${more} over ${formatDuration(toS - fromS)}, ${formatNumber(rows)} rows${thinned}`;
}
