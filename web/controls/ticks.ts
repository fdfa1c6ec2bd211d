/** The worker's own name with its hash, put in by the build. */
declare const tickWorkerFile: string;

/**
 * Calls back about every second until told to stop. A worker keeps the beat, because a page behind other windows,
 * which is where it lies during a load, has its own timers slowed to one a minute; the page keeps it until the worker
 * does, which never begins where it could not be fetched.
 */
export const everySecond = (tick: () => void): (() => void) => {
  const timer = setInterval(tick, 1000);
  let worker: Worker | undefined;
  try {
    worker = new Worker(new URL(tickWorkerFile, import.meta.url));
    worker.addEventListener("message", () => {
      clearInterval(timer);
      tick();
    });
  } catch {} // without workers the page goes on
  return () => {
    clearInterval(timer);
    worker?.terminate();
  };
};
