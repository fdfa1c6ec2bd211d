import { type Unlike, unlikeIn } from "../../bench/heat/likeRuns.ts";
import { clockWords } from "../../bench/things/words.ts";
import { formatCount } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import type { HeatListShown } from "./listShown.ts";

type Props = Readonly<{ shown: HeatListShown }>;

/** Says where what is laid over one another is not alike, and leads to what is. */
export const LikeWithLike = ({ shown }: Props) => {
  const unlike = unlikeWords(shown);
  if (unlike === null) return <OtherSettings shown={shown} />;
  return (
    <Note kind="plain">
      <p>{unlike}</p>
      <OtherSettings shown={shown} />
    </Note>
  );
};

const differWords: Readonly<Record<Unlike, string>> = {
  load: "the loads",
  setting: "the settings",
  knobs: "the knobs beside the setting",
};

function unlikeWords({ overlaid }: HeatListShown): string | null {
  if (overlaid.length < 2) return null;
  const differ = unlikeIn(overlaid.map(({ attempt }) => attempt)).map((kind) => differWords[kind]);
  const held = overlaid.filter(({ run }) => run.heldBackMhz !== null);
  const words = [
    differ.length > 0
      ? `Unlike is laid over unlike: ${differ.join(" and ")} differ, and what lies between the lines is of that too, not of the builds alone.`
      : "",
    held.length > 0 && held.length < overlaid.length
      ? `${held.map(({ label, run }) => `${label} was held back at ${clockWords(run.heldBackMhz ?? 0, "MHz")}`).join(", ")}: unthrottled it would have been warmer.`
      : "",
  ].filter(Boolean);
  return words.length === 0 ? null : words.join(" ");
}

/** What all that is drawn has in common, "4300 MHz at 1.150 V under Stacking"; null where that is not one thing. */
export function commonWords({ overlaid, names }: Pick<HeatListShown, "overlaid" | "names">): string | null {
  const [first] = overlaid;
  if (first === undefined || unlikeIn(overlaid.map(({ attempt }) => attempt)).length > 0) return null;
  return likeWords(first.attempt, names);
}

type LikeSet = HeatListShown["alike"][number][number];

const likeWords = (run: LikeSet, { loads, units }: HeatListShown["names"]): string =>
  `${settingWords(run, units.get(run.buildId))} under ${loads.get(run.workloadId) ?? "a load since removed"}`;

const OtherSettings = ({ shown: { alike, names, wanted, as } }: Props) => {
  const drawn = new Set(wanted);
  const others = alike.filter(
    (group) => group.length !== drawn.size || !group.every(({ id }) => drawn.has(id)),
  );
  if (others.length === 0) return null;
  return (
    <p class="quiet">
      Like with like:{" "}
      {others.map((group, i) => (
        <>
          {i > 0 ? "; " : ""}
          <a href={paths.heat({ runs: group.map(({ id }) => id).join(","), as })}>
            {group[0] ? likeWords(group[0], names) : ""}
          </a>
          , {formatCount(group.length, "build")}
        </>
      ))}
    </p>
  );
};
