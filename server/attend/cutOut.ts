import { heatWatch } from "./heatWatch.ts";
import type { StartLoad } from "./load.ts";
import type { MachineReader } from "./reading.ts";
import type { SpoolDisk } from "./spoolDisk.ts";

/** Degrees above rest at which the trial ends the load: enough to be no chance, far from any limit. */
const riseC = 5;
const patienceS = 120;
const killAfterS = 10;
const mostToEndS = 12;

const file = "cut-out.tried";

export type CutOutOf = Readonly<{
  readings: MachineReader;
  startLoad: StartLoad;
  nowS(): number;
  /** Waits for the next second. */
  wait(): Promise<void>;
}>;

export type CutOutTried = Readonly<{ works: boolean; words: string }>;

/**
 * Lets the tester's own load warm the chip by a few degrees, and sees whether heat ends it: the same watch, the same way
 * of ending. Nothing of it is an attempt.
 */
export async function tryCutOut({ readings, startLoad, nowS, wait }: CutOutOf): Promise<CutOutTried> {
  const restC = readings.read().tempC;
  if (restC === null)
    return { works: false, words: "No temperature can be read here, so heat can end nothing." };
  const stopAtC = restC + riseC;
  const watch = heatWatch({ stopAtC, places: {} });
  const load = startLoad({
    attemptId: "cut-out",
    clockMhz: null,
    voltageMv: null,
    workloadKind: "mixed",
    plannedS: null,
  });
  const beganS = nowS();
  const sinceS = () => nowS() - beganS;
  let [isHot, because] = [false, null as string | null];
  while (because === null && load.exit() === null && sinceS() < patienceS) {
    await wait();
    const reading = readings.read();
    because = watch(sinceS(), reading)?.because ?? null;
    isHot = because !== null && reading.tempC !== null && reading.tempC >= stopAtC;
  }
  const closedItself = load.exit() !== null;
  const hotS = sinceS();
  load.ask();
  let isKilled = false;
  while (!load.isGone() && sinceS() - hotS < mostToEndS) {
    await wait();
    if (!isKilled && sinceS() - hotS >= killAfterS) {
      load.kill();
      isKilled = true;
    }
  }
  const left = load.escaped();
  if (!load.isGone() || left.length > 0)
    return { works: false, words: `The load was to end, and something of it goes on: ${left.join(", ")}.` };
  if (closedItself) return { works: false, words: "The load ended by itself, so nothing was tried." };
  if (because !== null && !isHot) return { works: false, words: `${because} So nothing was tried.` };
  if (!isHot)
    return {
      works: false,
      words: `The load did not warm the chip by ${riseC} degrees in ${patienceS / 60} minutes, so nothing was tried.`,
    };
  const tookS = Math.round(sinceS() - hotS);
  return {
    works: true,
    words: `Heat ended the load: ${riseC} degrees above rest, it was gone ${tookS} s later.`,
  };
}

export function keepCutOut(disk: SpoolDisk, moment: string): void {
  disk.append(file, `${moment}\n`);
  disk.syncNow(file);
}

export const forgetCutOut = (disk: SpoolDisk): void => disk.remove(file);

export const wasCutOutTried = (disk: SpoolDisk): boolean => (disk.read(file) ?? "") !== "";
