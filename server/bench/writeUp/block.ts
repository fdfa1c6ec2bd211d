/** One piece of the account, without any look: the page, the print and the text file each give it theirs. */
export type Block = Heading | Paragraph | List | TableBlock | Chart | PictureBlock;

export type Heading = Readonly<{ as: "heading"; level: 1 | 2 | 3; words: string }>;

/** Words made from the journal, which the writer may replace by their own. */
export type Paragraph = Readonly<{
  as: "paragraph";
  /** Names the paragraph, so that the writer's own words find it again. */
  slot: string;
  words: string;
  /** What the journal says now, where the writer's words stand in its place. */
  replaces: string | null;
  /** True where the journal has changed since the writer's words were written. */
  isStale: boolean;
  tone: "plain" | "answer" | "caution";
}>;

export type List = Readonly<{ as: "list"; items: readonly string[] }>;

/** Figures are always the journal's. */
export type TableBlock = Readonly<{
  as: "table";
  name: string;
  caption: string;
  columns: readonly ColumnOfBlock[];
  rows: readonly (readonly string[])[];
}>;
export type ColumnOfBlock = Readonly<{ words: string; unit: string | null; holds: "words" | "figures" }>;

/** A chart by name: whoever shows the account draws it. */
type Chart = Readonly<{ as: "chart"; name: string; caption: string }>;
export type PictureBlock = Readonly<{
  as: "picture";
  id: string;
  caption: string;
  widthPx: number;
  heightPx: number;
}>;

/** The writer's own words for a paragraph, and what the journal said when they were written. */
export type OwnWords = Readonly<{ words: string; replaced: string }>;
export type OwnWordsBySlot = Readonly<Record<string, OwnWords>>;

export const heading = (level: Heading["level"], words: string): Heading => ({ as: "heading", level, words });

export const list = (items: readonly string[]): List[] => (items.length === 0 ? [] : [{ as: "list", items }]);

/** The journal's words, or the writer's own where there are some; nothing at all where the writer left them empty. */
export function paragraph(
  own: OwnWordsBySlot,
  slot: string,
  words: string,
  tone: Paragraph["tone"] = "plain",
): Paragraph[] {
  const written = own[slot];
  if (written === undefined)
    return words === "" ? [] : [{ as: "paragraph", slot, words, replaces: null, isStale: false, tone }];
  if (written.words.trim() === "") return [];
  const isStale = written.replaced !== words;
  return [{ as: "paragraph", slot, words: written.words, replaces: words, isStale, tone }];
}

export const column = (words: string, unit: string | null = null): ColumnOfBlock => ({
  words,
  unit,
  holds: "figures",
});
export const wordsColumn = (words: string): ColumnOfBlock => ({ words, unit: null, holds: "words" });

/** A table without rows is not shown. */
export const table = (
  name: string,
  caption: string,
  columns: readonly ColumnOfBlock[],
  rows: TableBlock["rows"],
): TableBlock[] => (rows.length === 0 ? [] : [{ as: "table", name, caption, columns, rows }]);
