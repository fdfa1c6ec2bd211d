import { spawn } from "node:child_process";

const ours = ["NOTIFY_SOCKET", "WATCHDOG_USEC", "WATCHDOG_PID"];

/** What the load inherits: nothing by which it could speak for the attendant. */
export const withoutManager = (environment: NodeJS.ProcessEnv): NodeJS.ProcessEnv =>
  Object.fromEntries(Object.entries(environment).filter(([name]) => !ours.includes(name)));

const notify = (): void => {
  const child = spawn("systemd-notify", ["WATCHDOG=1"], { stdio: "ignore" });
  child.on("error", () => undefined);
  child.unref();
};

/**
 * Tells the service manager that the attendant is alive, at a third of the time it is given (sd_watchdog_enabled(3));
 * one that hangs is silent, and is ended with its load. To be called once a second; does nothing where nobody listens.
 */
export function aliveTeller(
  { NOTIFY_SOCKET, WATCHDOG_USEC }: NodeJS.ProcessEnv,
  nowS: () => number,
  tell: () => void = notify,
): () => void {
  const everyS = Number(WATCHDOG_USEC ?? Number.NaN) / 3e6;
  if (NOTIFY_SOCKET === undefined || !(everyS > 0)) return () => undefined;
  let dueS = nowS();
  return () => {
    if (nowS() < dueS) return;
    dueS = nowS() + everyS;
    tell();
  };
}
