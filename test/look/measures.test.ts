import { expect, it } from "vitest";
import { foundByAxe } from "../support/axe.ts";
import { journey, visitor } from "../support/browser.ts";
import { judged } from "./judged.ts";
import { measured } from "./measures.ts";

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

/** A page with one thing wrong after the other; `main` is what the measures look into. */
const pageOf = (main: string): string =>
  `<!doctype html><html lang="en"><head><meta name="viewport" content="width=device-width"><title>Page</title>
  <style>body { margin: 0 } button, summary { min-height: 48px; min-width: 48px }</style></head><body><main>${main}</main></body></html>`;

const good = "<h1>Next</h1><p>Run it.</p><button id='arm'>Arm</button>";

const saidOf = async (main: string) => {
  const page = await visitor(phone);
  await page.addInitScript("globalThis.__name = (named) => named");
  await page.setContent(pageOf(main));
  return judged(await measured(page), { isPhone: true, isBench: true, mostWords: 6 });
};

journey("What is measured of a page", () => {
  it("finds nothing where nothing is wrong, and does not read what is folded away", async () => {
    expect(await saidOf(good)).toEqual([]);
    const folded = "<details><summary>More</summary><p>So many words that nobody has asked for</p></details>";
    expect(await saidOf(`<h1>Next</h1>${folded}<button id="arm">Arm</button>`)).toEqual([]);
  });

  it.each([
    ["2 headings of the first order", `<h1>Again</h1>${good}`],
    ["40 px wider than the screen", `${good}<div style="width: 400px; height: 1px"></div>`],
    ["the button that arms ends at 1", `<div style="height: 1000px"></div>${good}`],
    ["9 words", `<p>One two three four five six seven</p>${good}`],
    ["1 smaller than a thumb: Undo", `${good}<button style="min-height: 20px">Undo</button>`],
    [
      "is cut",
      `${good}<span style="display: block; width: 20px; overflow: hidden; white-space: nowrap">Temperature</span>`,
    ],
    [
      "contested lies over crashed",
      `${good}<svg width="200" height="40"><text x="9" y="20">contested</text><text x="12" y="22">crashed</text></svg>`,
    ],
    [
      "+150 MHz lies over Memory offset",
      `${good}<table><tbody><tr style="display: block; position: relative"><td>+150 MHz</td><td style="position: absolute; left: 20px; top: 0">Memory offset</td></tr></tbody></table>`,
    ],
    ["Solid… is cut", `${good}<svg width="200" height="40"><text x="9" y="20">Solid…</text></svg>`],
    ["held leaves its picture", `${good}<svg width="60" height="40"><text x="50" y="20">held</text></svg>`],
    [
      "11:04 4350 passed takes 3 lines",
      `${good}<div class="attempts"><table><tbody><tr style="display: grid">${["11:04", " 4350", " passed"]
        .map((fact) => `<td data-head="Time">${fact}</td>`)
        .join("")}</tr></tbody></table></div>`,
    ],
    ["twice: The bar is where it may lie.", `${good}${"<p>The bar is where it may lie.</p>".repeat(2)}`],
  ])("says: %s", async (words, main) => {
    const said = await saidOf(main);
    expect(said.filter((one) => one.includes(words))).toHaveLength(1);
  });

  it("hears a name that says otherwise than what is read", async () => {
    const page = await visitor();
    await page.setContent(pageOf(`${good}<a href="/x" aria-label="Attempt 4500 MHz">23:32</a>`));
    expect((await foundByAxe(page)).join()).toContain("label-content-name-mismatch");
  });
});
