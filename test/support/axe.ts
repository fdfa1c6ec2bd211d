import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";

const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** What axe finds on the page as it stands, also where a name says otherwise than what is read (WCAG 2.5.3). */
export const foundByAxe = (page: Page): Promise<readonly string[]> =>
  foundBy(
    new AxeBuilder({ page }).withTags(tags).options({
      runOnly: { type: "tag", values: tags },
      rules: { "label-content-name-mismatch": { enabled: true } },
    }),
  );

/** Of that what may differ between two themes of one page. */
export const foundInColours = (page: Page): Promise<readonly string[]> =>
  foundBy(new AxeBuilder({ page }).withRules(["color-contrast", "link-in-text-block"]));

async function foundBy(axe: AxeBuilder): Promise<readonly string[]> {
  const { violations } = await axe.analyze();
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`);
}
