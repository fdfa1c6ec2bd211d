import type { Attempt } from "../../bench/things/attempt.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Chip } from "../../bench/things/chip.ts";
import { offsetWords } from "../../bench/things/setting.ts";
import type { Workload } from "../../bench/things/workload.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { formatCount, formatMilli, formatNumber } from "../../html/format.ts";
import { Missing } from "../../html/note.tsx";
import { AttemptsRows, AttemptsTable, loadNames, type UsedColumns } from "../kit/attemptTable.tsx";
import { paths } from "../paths.ts";

export type AttemptsShown = Readonly<{
  build: Build;
  chip: Chip;
  workloads: readonly Workload[];
  narrowing: Readonly<{
    clockMhz: number | null;
    voltageMv: number | null;
    offset: number | null;
    part: string | null;
    workload: string | null;
  }>;
  items: readonly Attempt[];
  next: string | null;
  /** What was set in any attempt of the build, where these are some of them. */
  used: UsedColumns | null;
}>;

const narrowedTo = ({ narrowing, workloads, chip }: AttemptsShown): string => {
  const { clockMhz, voltageMv, offset, part, workload } = narrowing;
  const load = workloads.find(({ id }) => id === workload)?.name;
  return [
    clockMhz === null ? "" : `at ${formatNumber(clockMhz)} ${chip.clockUnit}`,
    voltageMv === null ? "" : `at ${formatMilli(voltageMv)} V`,
    part === null ? "" : `of ${part}`,
    offset === null ? "" : `at ${offsetWords(offset, chip)}`,
    load ? `under ${load}` : "",
  ]
    .filter(Boolean)
    .join(" ");
};

const tableOf = (shown: AttemptsShown) => ({
  rows: shown.items,
  chip: shown.chip,
  loads: loadNames(shown.workloads),
  times: "moment" as const,
  ...(shown.used && { used: shown.used }),
  more:
    shown.next === null
      ? null
      : {
          title: "Older attempts",
          href: paths.attempts(shown.build.id, { ...shown.narrowing, after: shown.next }),
        },
});

/** The next rows alone, for a swap. */
export const AttemptRows = ({ shown }: { shown: AttemptsShown }) => <AttemptsRows {...tableOf(shown)} />;

/** The attempts behind a figure, newest first. */
export const AttemptsPage = ({ frame, shown }: { frame: Frame; shown: AttemptsShown }) => {
  const { build, items, next } = shown;
  const narrowed = narrowedTo(shown);
  const count = next === null ? formatCount(items.length, "attempt") : `The latest ${items.length} attempts`;
  const heading = `${count.charAt(0).toUpperCase()}${count.slice(1)} ${narrowed} on ${build.name}`.replace(
    /\s+/g,
    " ",
  );
  return (
    <Document title={`Attempts on ${build.name}`} frame={frame}>
      <Entry aside={<a href={paths.build(build.id)}>{build.name}</a>}>
        <Answer heading={heading} />
        {narrowed ? (
          <p>
            <a href={paths.attempts(build.id)}>Show all attempts of this build</a>
          </p>
        ) : null}
        {items.length > 1 ? (
          <p>
            <a href={paths.corrections(build.id)}>Correct several of them at once</a>
          </p>
        ) : null}
        {items.length > 0 ? (
          <AttemptsTable caption={heading} {...tableOf(shown)} />
        ) : (
          <Missing>
            Nothing was tried there.
            <Act>
              <ButtonLink href={paths.bench({ build: build.id })} first>
                To the bench with it
              </ButtonLink>
            </Act>
          </Missing>
        )}
      </Entry>
    </Document>
  );
};
