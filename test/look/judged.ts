import type { Measured } from "./measures.ts";

/** The first screen of a phone in one hand, and how far a page may go on below it. */
const screenHigh = 740;
const mostHigh = 5_000;

export type Asked = Readonly<{
  isPhone: boolean;
  mostWords?: number;
  isBench?: boolean;
  isUnfolded?: boolean;
}>;

/** What is wrong with a page as it was measured, a sentence each. */
export function judged(
  page: Measured,
  { isPhone, mostWords, isBench = false, isUnfolded = false }: Asked,
): readonly string[] {
  const words = isBench ? page.wordsAboveArm : page.words;
  const isShort = isPhone && !isUnfolded;
  const place = isShort && page.armBottom !== null && page.armBottom > screenHigh;
  return [
    ...(page.headings === 1 ? [] : [`${page.headings} headings of the first order`]),
    ...(page.sideways > 0 ? [`${page.sideways} px wider than the screen`] : []),
    ...(isShort && page.height > mostHigh ? [`${page.height} px high`] : []),
    ...(place ? [`the button that arms ends at ${page.armBottom}`] : []),
    ...(mostWords !== undefined && words !== null && words > mostWords ? [`${words} words`] : []),
    ...(isPhone && page.small.length > 0 ? [smallWords(page.small)] : []),
    ...page.cut,
    ...(isPhone ? page.tall : []),
    ...page.twice.map((one) => `twice: ${one}`),
  ];
}

const smallWords = (small: readonly string[]): string =>
  `${small.length} smaller than a thumb: ${small.slice(0, 4).join(", ")}${small.length > 4 ? " …" : ""}`;
