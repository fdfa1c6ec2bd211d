import type { TestServer } from "../../support/bench.ts";

/** What is typed to try a setting. */
export const setting = (workloadId: string, more: object = {}) => ({
  workloadId,
  clockMhz: "4600",
  voltageMv: "1.2",
  plannedS: "15",
  ...more,
});

export const attemptsOf = async ({ send }: TestServer, build: string) =>
  (await send("GET", `/api/builds/${build}/attempts`)).body.items;
