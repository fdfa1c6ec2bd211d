import type { Page } from "playwright-core";

/** What can be measured of a page as it stands: what is shown, in CSS pixels and words. */
export type Measured = Readonly<{
  headings: number;
  sideways: number;
  height: number;
  /** Where the button that arms ends, from the top of the page; null where there is none. */
  armBottom: number | null;
  dialBottom: number | null;
  /** Words of prose outside folds, tables and labels: all of them, and those above the button that arms. */
  words: number;
  wordsAboveArm: number | null;
  /** Smaller than a thumb: what it says and how large it is. */
  small: readonly string[];
  /** What is cut off by its own box, or lies over another label of its picture or outside the picture. */
  cut: readonly string[];
  /** Sentences that stand more than once. */
  twice: readonly string[];
  /** Rows of a phone's lists whose facts take more than two lines. */
  tall: readonly string[];
}>;

export const measured = (page: Page): Promise<Measured> =>
  page.evaluate(() => {
    const thumb = 44;
    const shown = <Kind extends Element>(selector: string): Kind[] =>
      [...document.querySelectorAll<Kind>(selector)].filter(
        (one) => one.checkVisibility({ visibilityProperty: true }) && one.getClientRects().length > 0,
      );
    /** What can be read of it now: what is folded away inside is not. */
    const writtenIn = (one: Element): Node[] => {
      const walker = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
      const read: Node[] = [];
      while (walker.nextNode())
        if (walker.currentNode.parentElement?.checkVisibility()) read.push(walker.currentNode);
      return read;
    };
    const textOf = (one: Element): string =>
      writtenIn(one)
        .map(({ textContent }) => textContent ?? "")
        .join("")
        .replace(/\s+/g, " ")
        .trim();
    const bottomOf = (selector: string): number | null => {
      const box = shown(selector)[0]?.getBoundingClientRect();
      return box ? Math.round(box.bottom + scrollY) : null;
    };

    const proseOf = "main p, main li, main figcaption, main .line-more > summary";
    const proses = shown<HTMLElement>(proseOf).filter(
      (one) =>
        !one.closest("table, .outcomes, .dials, details:not(.line-more), svg, .key, .fields, .aside") &&
        !one.parentElement?.closest("p, li, figcaption"),
    );
    const wordsIn = (some: readonly Element[]): number =>
      some.map(textOf).join(" ").split(" ").filter(Boolean).length;
    const arm = document.querySelector("#arm")?.getBoundingClientRect().top;

    const isInSentence = (link: Element): boolean => {
      const around = link.closest("p, li, td, figcaption, summary, caption, .prose");
      return (
        link.matches("a") &&
        getComputedStyle(link).display === "inline" &&
        around !== null &&
        textOf(around).length > textOf(link).length + 1
      );
    };
    const hit = (one: Element): DOMRect => {
      const label =
        one.matches("input[type=checkbox], input[type=radio]") && (one as HTMLInputElement).labels?.[0];
      return (label || one).getBoundingClientRect();
    };
    const small = shown("button, a[href], input:not([type=hidden]), select, textarea, summary")
      .filter((one) => !isInSentence(one) && !one.closest(".skip, .unseen"))
      .flatMap((one) => {
        const { width, height } = hit(one);
        if (Math.min(width, height) >= thumb - 0.5 || (height >= thumb - 0.5 && one.matches("a, summary")))
          return [];
        const said = textOf(one) || one.getAttribute("aria-label") || one.id;
        return [`${said.slice(0, 30)} (${Math.round(width)} × ${Math.round(height)})`];
      });

    const clipped = shown<HTMLElement>("main *, header *")
      .filter(
        (one) =>
          one.children.length === 0 &&
          textOf(one) !== "" &&
          /hidden|clip/.test(getComputedStyle(one).overflowX) &&
          one.scrollWidth > one.clientWidth + 1 &&
          !one.closest(".unseen, thead"),
      )
      .map((one) => `${textOf(one).slice(0, 40)} is cut`);
    const inPictures = shown<SVGSVGElement>("main svg").flatMap((svg) => {
      const frame = svg.getBoundingClientRect();
      const labels = [...svg.querySelectorAll("text")].map((label) => ({
        said: textOf(label),
        box: label.getBoundingClientRect(),
      }));
      const outside = labels
        .filter(
          ({ box }) =>
            box.width > 0 &&
            (box.left < frame.left - 1.5 ||
              box.right > frame.right + 1.5 ||
              box.top < frame.top - 3 ||
              box.bottom > frame.bottom + 3),
        )
        .map(({ said }) => `${said} leaves its picture`);
      const over = labels.flatMap((one, i) =>
        labels.slice(i + 1).flatMap((other) => {
          const across = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left);
          const down = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top);
          return across > 1.5 && down > 4 ? [`${one.said} lies over ${other.said}`] : [];
        }),
      );
      const shortened = labels.filter(({ said }) => said.endsWith("…")).map(({ said }) => `${said} is cut`);
      return [...outside, ...over, ...shortened];
    });

    /** Cells of one row whose words lie over one another. */
    const boxesOf = (cell: Element): DOMRect[] =>
      writtenIn(cell)
        .filter((text) => !text.parentElement?.closest(".unseen"))
        .flatMap((text) => {
          const written = document.createRange();
          written.selectNodeContents(text);
          return [...written.getClientRects()];
        });
    const inRows = shown<HTMLElement>("main tbody tr").flatMap((row) => {
      const cells = [...row.children].map((cell) => ({ cell, boxes: boxesOf(cell) }));
      return cells.flatMap(({ cell, boxes }, i) =>
        cells.slice(i + 1).flatMap((other) => {
          const isOver = boxes.some((one) =>
            other.boxes.some(
              (two) =>
                Math.min(one.right, two.right) - Math.max(one.left, two.left) > 1.5 &&
                Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top) > 4,
            ),
          );
          return isOver ? [`${textOf(cell)} lies over ${textOf(other.cell)}`] : [];
        }),
      );
    });

    /** What a row tells in lines of its own; what it is of may be a long name. */
    const factsOf = {
      ...{ attempts: /./, builds: /^(?!Build|Attempts)/ },
      ...{ runs: /^(?!Build|Draw)/, overlaid: /^(?!Run)/ },
    };
    const linesOf = (cells: readonly Element[]): number =>
      cells
        .flatMap(boxesOf)
        .toSorted((a, b) => a.top - b.top)
        .reduce(
          ({ count, bottom }, box) =>
            box.top + box.height / 2 > bottom
              ? { count: count + 1, bottom: box.bottom }
              : { count, bottom: Math.max(bottom, box.bottom) },
          { count: 0, bottom: Number.NEGATIVE_INFINITY },
        ).count;
    const tall = Object.entries(factsOf).flatMap(([list, isFact]) =>
      shown<HTMLElement>(`.${list} tbody tr:not(.more)`).flatMap((row) => {
        const facts = [...row.querySelectorAll("td")].filter((cell) => isFact.test(cell.dataset.head ?? ""));
        const lines = linesOf(facts);
        return lines > 2 ? [`${textOf(row).slice(0, 40)} takes ${lines} lines`] : [];
      }),
    );

    const sentences = proses.map(textOf).filter((said) => said.split(" ").length > 5);
    return {
      headings: shown("h1").length,
      sideways: document.documentElement.scrollWidth - innerWidth,
      height: document.documentElement.scrollHeight,
      armBottom: bottomOf("#arm"),
      dialBottom: bottomOf(".dials"),
      words: wordsIn(proses),
      wordsAboveArm:
        arm === undefined ? null : wordsIn(proses.filter((one) => one.getBoundingClientRect().top < arm)),
      small,
      cut: [...clipped, ...inPictures, ...inRows],
      twice: sentences.filter((said, at) => sentences.indexOf(said) !== at),
      tall,
    };
  });
