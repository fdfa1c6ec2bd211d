import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";

const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** What axe finds on the page as it stands, also where a name says otherwise than what is read (WCAG 2.5.3). */
export async function foundByAxe(page: Page): Promise<readonly string[]> {
  const axe = new AxeBuilder({ page }).withTags(tags).options({
    runOnly: { type: "tag", values: tags },
    rules: { "label-content-name-mismatch": { enabled: true } },
  });
  const { violations } = await axe.analyze();
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" | ")}`);
}
