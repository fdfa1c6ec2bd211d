import { execFileSync } from "node:child_process";
import { type Browser, chromium } from "playwright-core";

const onPath = (name: string): string | undefined => {
  try {
    return execFileSync("which", [name], { encoding: "utf8" }).trim() || undefined;
  } catch {
    return undefined;
  }
};

const quietly = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** The shell shows what the whole browser shows, in a third of the processor time. */
const names = ["chromium-headless-shell", "chromium", "chromium-browser"];

/** The Chromium that `CHROMIUM` names, else the lightest one on the path. */
export async function openChromium(): Promise<Browser> {
  const executablePath = process.env.CHROMIUM || names.map(onPath).find((found) => found !== undefined);
  if (!executablePath)
    throw new Error(
      "No Chromium was found: install it, set CHROMIUM to one, or leave journeys out by JOURNEYS=none.",
    );
  return chromium.launch({ executablePath, args: quietly });
}
