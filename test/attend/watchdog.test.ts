import { expect, it } from "vitest";
import { aliveTeller, withoutManager } from "../../server/attend/watchdog.ts";

it("says that it is alive at a third of the time it is given, and to nobody who does not listen", () => {
  let [nowS, told] = [0, 0];
  const tellWith = (environment: NodeJS.ProcessEnv) =>
    aliveTeller(
      environment,
      () => nowS,
      () => {
        told += 1;
      },
    );
  const listened = tellWith({ NOTIFY_SOCKET: "/run/notify", WATCHDOG_USEC: "30000000" });
  for (nowS = 0; nowS < 60; nowS++) listened();
  expect(told).toBe(6);
  for (const nobody of [{}, { NOTIFY_SOCKET: "/run/notify" }, { WATCHDOG_USEC: "30000000" }])
    tellWith(nobody)();
  expect(told).toBe(6);
});

it("leaves the load nothing by which it could speak for it", () => {
  const environment = { PATH: "/bin", NOTIFY_SOCKET: "/run/notify", WATCHDOG_USEC: "1", WATCHDOG_PID: "2" };
  expect(withoutManager(environment)).toEqual({ PATH: "/bin" });
});
