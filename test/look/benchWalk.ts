import type { Page } from "playwright-core";
import type { benchAt } from "../support/benchAt.ts";
import { arrivalOn } from "../support/focus.ts";

type Bench = Awaited<ReturnType<typeof benchAt>>;

/** One state of the bench: how it is come to, and what then has the focus. */
export type BenchState = Readonly<{
  name: string;
  reach(page: Page, url: string): Promise<void>;
  focused?: RegExp;
  /** All that a reader folded away stands open: pages are as long as that makes them. */
  isUnfolded?: boolean;
}>;

const press = (page: Page, selector: string) => page.locator(selector).click();

/** A bench as after an evening: passes up to a crash, warm enough for the forecast to warn of the limit. */
export async function eveningOf({ build, load, made }: Bench): Promise<void> {
  const attempt = (more: object) =>
    made(`/api/builds/${build}/attempts`, {
      ...{ workloadId: load, voltageMv: 1187.5, ambientC: 24, durationS: 300 },
      ...more,
    });
  for (let i = 0; i < 8; i++)
    await attempt({ clockMhz: 4325 + 25 * i, outcome: "pass", loadTempC: 74 + i / 4 });
  for (let i = 0; i < 2; i++) await attempt({ clockMhz: 4600 + 25 * i, outcome: "freeze", durationS: 200 });
}

/** From the proposal on, one after the other on one bench. */
export const benchStates: readonly BenchState[] = [
  { name: "proposed", reach: (page, url) => page.goto(url).then(() => undefined) },
  { name: "running", reach: (page) => press(page, "#arm"), focused: /^timer$/ },
  {
    name: "running-reading",
    reach: (page) => page.getByText("Add a reading").click(),
  },
  { name: "crashed", reach: (page) => press(page, "#end-freeze"), focused: /^Kept: / },
  {
    name: "refused",
    reach: async (page) => {
      await page.locator("#field-clockMhz").fill("fast");
      await press(page, "#arm");
    },
    focused: /^field-clockMhz$/,
  },
  {
    name: "passed-over",
    reach: async (page, url) => {
      await page.goto(url);
      await press(page, "#passed");
    },
    focused: /^Kept: /,
  },
  {
    name: "folds-open",
    isUnfolded: true,
    reach: async (page) => {
      await page.evaluate(() => {
        for (const fold of document.querySelectorAll<HTMLDetailsElement>("main details")) fold.open = true;
      });
    },
  },
];

/** What is wrong with where a tap left the reader. */
export async function arrivalFaults(page: Page, focused: RegExp): Promise<readonly string[]> {
  for (let patience = 50; patience > 0; patience--) {
    const arrival = await arrivalOn(page);
    if (focused.test(arrival.focused) && arrival.inView) return [];
    await page.waitForTimeout(100);
  }
  const { focused: on, inView } = await arrivalOn(page);
  return [`focus on “${on.slice(0, 40)}”${inView ? "" : ", out of view"}`];
}
