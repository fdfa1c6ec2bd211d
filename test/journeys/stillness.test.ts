import { expect, it } from "vitest";
import { benchAt } from "../support/benchAt.ts";
import { journey, served, visitor } from "../support/browser.ts";

/** The longest that anything on the page moves, in seconds, with what is before and behind each element. */
const longestS = (): number => {
  const seconds = (list: string): number =>
    Math.max(
      ...list.split(",").map((one) => Number.parseFloat(one) * (one.trim().endsWith("ms") ? 0.001 : 1)),
    );
  return Math.max(
    ...[...document.querySelectorAll("*")].flatMap((element) =>
      [null, "::before", "::after"].flatMap((pseudo) => {
        const style = getComputedStyle(element, pseudo);
        return [seconds(style.transitionDuration), seconds(style.animationDuration)];
      }),
    ),
  );
};

journey("A reader who asked for less motion", () => {
  it("sees nothing move on the bench, armed or not, where another sees a button change", async () => {
    const { url } = await served();
    await benchAt(url);
    const page = await visitor();
    const moves = async (reducedMotion: "reduce" | "no-preference") => {
      await page.emulateMedia({ reducedMotion });
      const scrolls = await page.evaluate(() => getComputedStyle(document.documentElement).scrollBehavior);
      return { s: await page.evaluate(longestS), scrolls };
    };
    await page.goto(url);
    const arm = page.getByRole("button", { name: "Arm this attempt" });
    expect(await moves("reduce")).toEqual({ s: 0, scrolls: "auto" });
    expect((await moves("no-preference")).s).toBeGreaterThan(0.05);
    await page.emulateMedia({ reducedMotion: "reduce" });
    await arm.click();
    await page.getByRole("timer").waitFor();
    expect(await moves("reduce")).toEqual({ s: 0, scrolls: "auto" });
    expect((await moves("no-preference")).s).toBeGreaterThan(0.05);
  }, 120_000);
});
