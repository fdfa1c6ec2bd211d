import type { AccountAnswer } from "../../answers/accountOf.ts";
import type { Build } from "../../bench/things/build.ts";
import type { Block } from "../../bench/writeUp/block.ts";
import { statedUseWords } from "../../bench/writeUp/statedUse.ts";
import { writeUpOf } from "../../bench/writeUp/writeUp.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Entry, PhoneFold } from "../../html/entry.tsx";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";
import { type AccountTyped, accountAddress } from "./asked.ts";
import { BlockView, type Charts } from "./blocks.tsx";
import { chartsOf } from "./charts.ts";

export type AccountShown = Readonly<{
  asked: AccountTyped;
  answer: AccountAnswer;
  /** All of the journal. */
  builds: readonly Build[];
}>;

type Section = Readonly<{ title: string | null; blocks: readonly Block[] }>;

/** The title with what stands under it, then one section for each heading of the second rank. */
function sectionsOf(blocks: readonly Block[]): readonly Section[] {
  const sections: { title: string | null; blocks: Block[] }[] = [{ title: null, blocks: [] }];
  for (const block of blocks) {
    if (block.as === "heading" && block.level === 2) sections.push({ title: block.words, blocks: [] });
    sections.at(-1)?.blocks.push(block);
  }
  return sections;
}

const query = ({ buildIds, use }: AccountTyped) => ({ builds: buildIds.join(","), use });

const About = ({ shown: { asked, answer } }: { shown: AccountShown }) => (
  <div class="no-print">
    {answer.account.builds.map(({ build }) => (
      <p key={build.id}>
        <a href={paths.build(build.id)}>{build.name}</a>
      </p>
    ))}
    <p>for {statedUseWords[asked.use]}</p>
    <a href={paths.writeUp()}>other builds or another use</a>
  </div>
);

/** Leads to the words of the section, where it has any that may be written anew. */
const OwnWordsLink = ({ section, asked }: { section: Section; asked: AccountTyped }) => {
  const slot = section.blocks.find((block) => block.as === "paragraph" && block.slot !== "source");
  if (slot?.as !== "paragraph") return null;
  return (
    <a class="no-print" href={`${paths.writeUpWords(query(asked))}#field-words.${slot.slot}`}>
      {slot.replaces === null ? "your own words" : "your words, change them"}
      <span class="unseen"> for “{section.title}”</span>
    </a>
  );
};

const SectionView = ({
  section,
  asked,
  charts,
}: {
  section: Section;
  asked: AccountTyped;
  charts: Charts;
}) => {
  const blocks = section.blocks.map((block, i) => <BlockView key={i} block={block} charts={charts} />);
  return (
    <Entry aside={<OwnWordsLink section={section} asked={asked} />}>
      {isLong(section) ? <PhoneFold title={section.title}>{blocks}</PhoneFold> : blocks}
    </Entry>
  );
};

/** A list of so many, or a chart, fills more than a phone: there its title stands for it until it is wanted. */
const longList = 4;

const isLong = ({ blocks }: Section): boolean =>
  blocks.some((block) => block.as === "chart" || (block.as === "list" && block.items.length >= longList));

const Fitting = ({ asked }: { asked: AccountTyped }) => (
  <Note kind="plain">
    <p>
      The limits are still being fitted; until then this rests on the last fit, or on what was observed alone.{" "}
      <a class="no-print" href={`${accountAddress(asked)}&wait=yes`}>
        Wait for them
      </a>
    </p>
  </Note>
);

const Keeping = ({ asked }: { asked: AccountTyped }) => (
  <div class="no-print">
    <Act>
      <ButtonLink href={paths.writeUpFile("md", query(asked))}>Keep as Markdown</ButtonLink>
      <ButtonLink href={paths.writeUpFile("zip", query(asked))}>Keep charts, tables and text</ButtonLink>
      <ButtonLink href={paths.writeUpWords(query(asked))}>Write it in your own words</ButtonLink>
    </Act>
    <p class="quiet prose">
      Print it from the browser: paper gets the account alone. Its address brings it back as the journal
      stands then.
    </p>
  </div>
);

/** The account itself, which a swap renews once all is fitted. */
export const AccountPiece = ({ shown }: { shown: AccountShown }) => {
  const { asked, answer, builds } = shown;
  const charts = chartsOf(answer, builds);
  const [first, ...rest] = sectionsOf(writeUpOf(answer.account));
  return (
    <div id="account" class="account">
      <Entry aside={<About shown={shown} />}>
        {(first?.blocks ?? []).map((block, i) => (
          <BlockView key={i} block={block} charts={charts} />
        ))}
        {answer.fresh ? null : <Fitting asked={asked} />}
        <Keeping asked={asked} />
      </Entry>
      {rest.map((section) => (
        <SectionView key={section.title} section={section} asked={asked} charts={charts} />
      ))}
    </div>
  );
};

/** What was compared, how, and what came of it: to read, to print, to keep. */
export const AccountPage = ({ frame, shown }: { frame: Frame; shown: AccountShown }) => (
  <Document
    title={shown.answer.account.own.title?.words || shown.answer.account.title}
    frame={frame}
    swaps={false}
    isAccount
  >
    <AccountPiece shown={shown} />
    {shown.answer.fresh ? null : <span data-later={paths.writeUpPiece(query(shown.asked))} />}
  </Document>
);
