import type { BenchDrift } from "../../bench/comparison/control.ts";
import type { SameSettingRow } from "../../bench/comparison/sameSetting.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";
import type { ComparisonShown } from "./shown.ts";
import type { Pair } from "./tables.tsx";

export const About = ({ shown: { pair, sameChip, chipName } }: { shown: ComparisonShown }) => (
  <div class="who">
    <p>
      <b>
        <a href={paths.build(pair.a.id)}>{pair.a.name}</a>
      </b>{" "}
      and{" "}
      <b>
        <a href={paths.build(pair.b.id)}>{pair.b.name}</a>
      </b>
    </p>
    <p class="parts">{sameChip ? `same chip, ${chipName}` : "two samples of the chip"}</p>
    <p class="parts no-print">
      <a href="#others">others</a>
    </p>
  </div>
);

/** Where one goes from two builds. */
export const OnwardFromBoth = ({ shown: { pair, siblings, chipId } }: { shown: ComparisonShown }) => (
  <>
    <a href={paths.writeUp({ builds: `${pair.a.id},${pair.b.id}` })}>write it up</a>
    <br />
    {siblings.length > 1 ? (
      <>
        <a href={severalAgainst(pair.a.id, siblings)}>all against {pair.a.name}</a>
        <br />
      </>
    ) : null}
    <a href={paths.changes({ chip: chipId })}>what each change did</a>
  </>
);

const severalAgainst = (a: string, others: readonly string[]): string =>
  `${paths.compare({ a })}${others.map((id) => `&b=${id}`).join("")}`;

/** Whether the bench itself moved meanwhile: a caution where it did, else a word in passing. */
export const DriftWords = ({ drift, chipId }: { drift: BenchDrift | null; chipId: string }) => {
  const way = `${paths.changes({ chip: chipId })}#drift`;
  if (drift === null || drift.difference === null) return null;
  if (drift.verdict === "differs" && !drift.remounted)
    return (
      <Note>
        {drift.words} <a href={way}>Day by day</a>
      </Note>
    );
  return (
    <p class="quiet">
      {drift.words}{" "}
      <span>
        <a href={way}>Control runs</a>
      </span>
    </p>
  );
};

/** A thermal difference is not called real on one mount: the second one is asked for where the answer stands. */
export const SecondMount = ({ pair, row }: { pair: Pair; row: SameSettingRow | undefined }) => {
  if (!row?.wouldDecide || row.verdict !== "not-enough") return null;
  const lacking = [pair.a, pair.b].filter((_, n) => (row.mounts[n] ?? 0) < 2);
  return (
    <Note kind="plain">
      <p>{row.wouldDecide}</p>
      {lacking.length === 0 ? null : (
        <Act>
          {lacking.map(({ id, name }) => (
            <ButtonLink key={id} href={`${paths.mounts(id)}#form`}>
              Mounted {name} again
            </ButtonLink>
          ))}
        </Act>
      )}
    </Note>
  );
};
