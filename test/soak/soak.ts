/**
 * An evening's capture, played through the public interface while two devices are used, and what it took.
 * npm run soak -- --minutes 60
 */
import { parseArgs } from "node:util";
import { openChromium } from "../support/chromium.ts";
import { failings, grownBytes, idleOf, medianOf, quantileOf } from "./judged.ts";
import { type Soaked, soaked } from "./soaked.ts";

const { values } = parseArgs({ options: { minutes: { type: "string", default: "60" } } });
const minutes = Number(values.minutes);
if (!(minutes > 0 && minutes <= 1440)) {
  console.error("--minutes takes a number of minutes, a day of them at most.");
  process.exit(2);
}

const browser = await openChromium().catch(() => null);
if (browser === null) console.error("No Chromium was found: both devices are plain clients.");
const found = await soaked({
  minutes,
  browser,
  browsers: 2,
  rounds: 2,
  say: (words) => console.error(words),
});
await browser?.close();
tell(found);
const wrong = failings(found, { quickMs: 0, busyMs: 0 });
for (const sentence of wrong) console.log(sentence);
if (wrong.length === 0) console.log("All of it held.");
process.exit(wrong.length > 0 ? 1 : 0);

function tell(soak: Soaked): void {
  const { captured, samples, samplesLost, written, hearings, memory, pages } = soak;
  const { rows, tookMs, repeated } = captured;
  console.log(`${soak.minutes} minutes: ${rows} rows, ${samples} samples, ${samplesLost} lost`);
  const halves = [tookMs.slice(0, tookMs.length / 2), tookMs.slice(tookMs.length / 2)];
  console.log(
    `a second's rows: ${halves.map((half) => ms(medianOf(half))).join(", later ")}, the slowest ${ms(Math.max(...tookMs))}, ${repeated} sent again`,
  );
  for (const { kind, missed, latestMs } of hearings)
    console.log(`${kind}: ${written} changes written, ${missed} missed, the latest after ${ms(latestMs)}`);
  const told = memory.map(({ ownBytes, heldBytes }) => `${mb(ownBytes)} (${mb(heldBytes)})`);
  console.log(`own memory when settled (held by all threads), MB: ${told.join(", ")}`);
  console.log(`grown by ${mb(grownBytes(soak))} MB at most`);
  console.log("page: median at rest, slowest at rest; median, 95 %, slowest of how many");
  for (const [address, times] of pages) {
    const [idle, { during }] = [idleOf(times), times];
    const numbers = [medianOf(idle), Math.max(...idle), medianOf(during), quantileOf(during, 0.95)];
    console.log(`${address}: ${[...numbers, Math.max(...during)].map(ms).join(", ")} of ${during.length}`);
  }
}

function ms(value: number): string {
  return `${value.toFixed(0)} ms`;
}

function mb(bytes: number): string {
  return (bytes / 1_000_000).toFixed(1);
}
