import type { Browser } from "playwright-core";
import { benchAt } from "../support/benchAt.ts";
import { type Captured, capturing, samplesLost } from "./capture.ts";
import { browserDevice, clientDevice, type Device } from "./device.ts";
import { type Settled, soakedServer } from "./soakedServer.ts";

/** How long pages took to arrive, in ms: with nothing else going on before and after, and while all of it went on. */
export type PageTimes = Readonly<{ before: number[]; during: number[]; after: number[] }>;

/** What one device heard, beside what was to be heard. */
type Hearing = Readonly<{
  kind: Device["kind"];
  /** Changes that were committed and that it was never told of. */
  missed: number;
  /** From the answer to whoever wrote until it was heard, the longest, in ms. */
  latestMs: number;
  /** Whether the page that was left open shows the last of it; null where none can be open. */
  showsLast: boolean | null;
}>;

export type Soaked = Readonly<{
  minutes: number;
  captured: Captured;
  samplesLost: number;
  samples: number;
  written: number;
  hearings: readonly Hearing[];
  pages: ReadonlyMap<string, PageTimes>;
  /** The first once all was warm, the others in equal steps until the end. */
  memory: readonly Settled[];
}>;

export type SoakAsked = Readonly<{
  minutes: number;
  /** The devices use it; without one they are plain clients. */
  browser: Browser | null;
  /** One of two, or both. */
  browsers: 1 | 2;
  /** How often each device goes through all pages while nothing else goes on. */
  rounds: number;
  /** Hears how far it is. */
  say?(words: string): void;
}>;

const channels = 30;
const visitEveryMs = 1_000;
const writeEveryMs = 3_000;
/** Of so many writes one is an attempt, the others are notes. */
const attemptEvery = 10;
const settleEveryMinutes = 5;
const fewestSteps = 5;
/** Caches have filled and code is compiled by then: what is taken later counts. */
const warmShare = 0.4;

type Bench = Awaited<ReturnType<typeof benchAt>>;
/** Of a list that is kept whole a change says that the list changed, of attempts whose. */
type Written = Readonly<{ kind: string; of: string; atMs: number }>;

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, Math.max(0, ms)));

/** Captures into a running attempt of the real program while two devices look around and a third writes. */
export async function soaked({
  minutes,
  browser,
  browsers,
  rounds,
  say = () => undefined,
}: SoakAsked): Promise<Soaked> {
  const server = await soakedServer();
  const devices: Device[] = [];
  try {
    const bench = await preparedBench(server.url);
    const attemptId = await armed(bench);
    const openAt = `/builds/${bench.builds[1]}`;
    for (const place of [0, 1])
      devices.push(
        browser !== null && place < browsers
          ? await browserDevice(browser, server.url, openAt)
          : await clientDevice(server.url),
      );
    const pages = new Map(addresses(bench, attemptId).map((one) => [one, noTimes()]));
    say(`${devices.map(({ kind }) => kind).join(" and ")}: pages at rest`);
    await walkIdly(rounds, devices, pages, "warm");
    await walkIdly(rounds, devices, pages, "before");

    say(`capturing for ${minutes} minutes`);
    const capture = capturing(server.url, attemptId);
    const clock = clockOf(minutes);
    const [written, memory] = await Promise.all([
      writesUntil(clock, bench),
      settlesUntil(clock, server.settled),
      ...devices.map((device, place) => walkUntil(clock, device, pages, place)),
    ]);
    const captured = await capture.stop();
    await heardOut(devices, written);
    const hearings = await Promise.all(devices.map((device) => hearingOf(device, written)));
    say("pages at rest again, and the trace read back");
    await walkIdly(rounds, devices, pages, "after");
    return {
      ...{ minutes, captured, hearings, pages, memory, written: written.length },
      samples: captured.rows * channels,
      samplesLost: await samplesLost(server.url, attemptId, captured.rows),
    };
  } finally {
    for (const device of devices) await device.close();
    await server.end();
  }
}

/** Two builds with a small record each; the second is written to while the first is captured. */
async function preparedBench(url: string): Promise<Bench> {
  const bench = await benchAt(url, { boards: ["Quay S", "Quay L"] });
  for (const build of bench.builds)
    for (const [step, outcome] of ["pass", "pass", "pass", "pass", "freeze", "pass", "freeze"].entries())
      await bench.made(`/api/builds/${build}/attempts`, attemptOf(bench, 4_500 + 25 * step, outcome, 600));
  return bench;
}

const attemptOf = ({ load }: Bench, clockMhz: number, outcome: string, durationS: number) => ({
  ...{ workloadId: load, voltageMv: 1200, clockMhz, outcome, durationS },
});

const armed = (bench: Bench): Promise<string> =>
  bench.made(`/api/builds/${bench.build}/attempts`, {
    ...{ workloadId: bench.load, voltageMv: 1200, clockMhz: 4600, outcome: "running" },
  });

const addresses = ({ builds, chip }: Bench, attemptId: string): readonly string[] => [
  "/",
  ...builds.map((build) => `/builds/${build}`),
  `/attempts/${attemptId}`,
  `/heat/${attemptId}`,
  "/builds",
  "/heat",
  `/compare?a=${builds[0]}&b=${builds[1]}`,
  `/changes?chip=${chip}`,
  "/parts",
  "/journal",
];

const noTimes = (): PageTimes => ({ before: [], during: [], after: [] });

async function walkIdly(
  rounds: number,
  devices: readonly Device[],
  pages: ReadonlyMap<string, PageTimes>,
  phase: "warm" | "before" | "after",
): Promise<void> {
  for (let round = 0; round < rounds; round++)
    for (const device of devices)
      for (const [address, times] of pages) {
        const tookMs = await device.visited(address);
        if (phase !== "warm") times[phase].push(tookMs);
      }
}

type Clock = Readonly<{ startMs: number; endMs: number }>;

const clockOf = (minutes: number): Clock => {
  const startMs = performance.now();
  return { startMs, endMs: startMs + minutes * 60_000 };
};

const goesOn = ({ endMs }: Clock): boolean => performance.now() < endMs;

/** Each device begins elsewhere, so that they meet on different pages. */
async function walkUntil(
  clock: Clock,
  device: Device,
  pages: ReadonlyMap<string, PageTimes>,
  place: number,
): Promise<void> {
  const all = [...pages];
  for (let step = place * 5; goesOn(clock); step += 1) {
    const [address, times] = all[step % all.length] as [string, PageTimes];
    const before = performance.now();
    times.during.push(await device.visited(address));
    await pause(visitEveryMs - (performance.now() - before));
  }
}

async function writesUntil(clock: Clock, bench: Bench): Promise<readonly Written[]> {
  const written: Written[] = [];
  const build = bench.builds[1] as string;
  const wrote = (kind: string, of: string) => written.push({ kind, of, atMs: performance.now() });
  while (goesOn(clock)) {
    const count = written.length;
    if (count % attemptEvery === attemptEvery - 1) {
      await bench.made(`/api/builds/${build}/attempts`, attemptOf(bench, 4_600, "pass", 60 + count));
      wrote("attempts", build);
    } else {
      await bench.patched(`/api/builds/${build}`, { note: `note ${count}` });
      wrote("builds", "");
    }
    await pause(writeEveryMs);
  }
  await bench.patched(`/api/builds/${build}`, { name: lastName });
  wrote("builds", "");
  return written;
}

const lastName = "Named at the very end";

async function settlesUntil(clock: Clock, settled: () => Promise<Settled>): Promise<readonly Settled[]> {
  const lengthMs = clock.endMs - clock.startMs;
  const stepMs = Math.min(settleEveryMinutes * 60_000, lengthMs / fewestSteps);
  const warmMs = clock.startMs + Math.min(settleEveryMinutes * 60_000, lengthMs * warmShare);
  const memory: Settled[] = [];
  for (let at = clock.startMs + stepMs; at < clock.endMs + stepMs / 2; at += stepMs) {
    await pause(at - performance.now());
    const now = await settled();
    if (at > warmMs - stepMs / 2) memory.push(now);
  }
  return memory;
}

const longestWaitMs = 10_000;

/** What was written last may be on its way still. */
async function heardOut(devices: readonly Device[], written: readonly Written[]): Promise<void> {
  const untilMs = performance.now() + longestWaitMs;
  while (performance.now() < untilMs && devices.some((device) => missedBy(device, written) > 0))
    await pause(100);
}

/** Of each thing as many changes are to be heard as were written, and no number of a change may be missing. */
function missedBy({ heard }: Device, written: readonly Written[]): number {
  const countOf = (changes: readonly Readonly<{ kind: string; of: string }>[], key: string) =>
    changes.filter((change) => keyOf(change) === key).length;
  const keys = new Set(written.map(keyOf));
  const untold = [...keys].map((key) => Math.max(0, countOf(written, key) - countOf(heard, key)));
  const gaps = heard.map(({ number }, at) => number - (heard[at - 1]?.number ?? number - 1) - 1);
  return [...untold, ...gaps].reduce((sum, count) => sum + Math.abs(count), 0);
}

const keyOf = ({ kind, of }: Readonly<{ kind: string; of: string }>): string => `${kind} ${of}`;

async function hearingOf(device: Device, written: readonly Written[]): Promise<Hearing> {
  const missed = missedBy(device, written);
  return { kind: device.kind, missed, latestMs: latestMs(device, written), showsLast: await shown(device) };
}

/** The nth change of a thing is heard as the nth. */
function latestMs({ heard }: Device, written: readonly Written[]): number {
  const waits = [...new Set(written.map(keyOf))].flatMap((key) => {
    const told = heard.filter((change) => keyOf(change) === key);
    const all = written.filter((one) => keyOf(one) === key);
    return all.map(({ atMs }, at) => (told[at]?.atMs ?? Number.POSITIVE_INFINITY) - atMs);
  });
  return Math.max(0, ...waits);
}

async function shown(device: Device): Promise<boolean | null> {
  const untilMs = performance.now() + longestWaitMs;
  for (;;) {
    const words = await device.leftOpen();
    if (words === null) return null;
    if (words.includes(lastName)) return true;
    if (performance.now() > untilMs) return false;
    await pause(200);
  }
}
