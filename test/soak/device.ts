import type { Browser } from "playwright-core";
import { changeHeard, type HeardChange, listeningAt } from "./ear.ts";

/** Somebody's phone or desktop: pages are asked for on it while it holds the stream of changes. */
export type Device = Readonly<{
  kind: "browser" | "client";
  heard: readonly HeardChange[];
  /** How long a page took to arrive whole, in ms; it throws where it did not. */
  visited(address: string): Promise<number>;
  /** The words of the page that was open all the while; null where a device shows none. */
  leftOpen(): Promise<string | null>;
  close(): Promise<void>;
}>;

/** A browser with two tabs: one is left open on a page and holds the stream, the other goes from page to page. */
export async function browserDevice(browser: Browser, url: string, openAt: string): Promise<Device> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  const left = await context.newPage();
  const heard: HeardChange[] = [];
  const session = await context.newCDPSession(left);
  await session.send("Network.enable");
  session.on("Network.eventSourceMessageReceived", ({ eventId, data }) => {
    const change = changeHeard(eventId, data);
    if (change !== null) heard.push(change);
  });
  const listens = left.waitForResponse((answer) => answer.url().startsWith(`${url}/api/events`));
  await left.goto(url + openAt);
  await listens;
  const walking = await context.newPage();
  return {
    kind: "browser",
    heard,
    async visited(address) {
      const answer = await walking.goto(url + address);
      if (answer?.status() !== 200) throw new Error(`${address} answered ${answer?.status()}.`);
      return walking.evaluate(() => {
        const [{ startTime, responseEnd }] = performance.getEntriesByType("navigation") as [
          PerformanceNavigationTiming,
        ];
        return responseEnd - startTime;
      });
    },
    leftOpen: () => left.locator("#main").textContent(),
    close: () => context.close(),
  };
}

/** The same without a browser: pages are fetched whole, the stream is read as the standard says. */
export async function clientDevice(url: string): Promise<Device> {
  const ear = listeningAt(url);
  await ear.open;
  return {
    kind: "client",
    heard: ear.heard,
    async visited(address) {
      const before = performance.now();
      const answer = await fetch(url + address, { headers: { accept: "text/html" } });
      await answer.text();
      if (answer.status !== 200) throw new Error(`${address} answered ${answer.status}.`);
      return performance.now() - before;
    },
    leftOpen: async () => null,
    close: async () => ear.close(),
  };
}
