/** The worker's own name with its hash, put in by the build. */
declare const tickWorkerFile: string;

/**
 * Calls back about every second until told to stop. A worker keeps the beat, because a page behind other windows,
 * which is where it lies during a load, has its own timers slowed to one a minute.
 */
export const everySecond = (tick: () => void): (() => void) => {
  try {
    const worker = new Worker(new URL(tickWorkerFile, import.meta.url));
    worker.addEventListener("message", tick);
    return () => worker.terminate();
  } catch {
    const timer = setInterval(tick, 1000);
    return () => clearInterval(timer);
  }
};
