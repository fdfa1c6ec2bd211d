import { expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";

it("attempts belong to the latest mount before them, also once its date is edited or it is deleted and back", async () => {
  const { send, journal, ...rest } = await testServer();
  const { cupboard, heavy } = await smallWorld({ send, journal, ...rest });
  const attempt = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 60 };
  for (const hour of ["09", "10", "11"])
    await send("POST", `/api/builds/${cupboard}/attempts`, {
      ...{ ...attempt, startedAt: `2031-05-04T${hour}:00:00.000Z` },
    });
  const first = (await send("GET", `/api/builds/${cupboard}/mounts`)).body.items[0].id as string;
  const again = await send("POST", `/api/builds/${cupboard}/mounts`, { mountedAt: "2031-05-04T09:30:00Z" });
  const second = again.body.id as string;
  const mountsOf = () => journal.attempts.evidenceOf(cupboard).map(({ mountId }) => mountId);
  expect(mountsOf()).toEqual([first, second, second]);
  const move = (mountedAt: string) => send("PATCH", `/api/mounts/${second}`, { mountedAt });
  expect((await move("2031-05-04T10:30:00Z")).status).toBe(200);
  expect(mountsOf()).toEqual([first, first, second]);
  await move("2031-05-04T11:00:00Z");
  expect(mountsOf()).toEqual([first, first, second]);
  await move("2031-05-04T08:00:00Z");
  expect(mountsOf()).toEqual([second, second, second]);
  await move("2031-05-04T12:00:00Z");
  expect(mountsOf()).toEqual([first, first, first]);
});
