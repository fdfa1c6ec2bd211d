import { expect, it } from "vitest";
import { smallWorld, testServer } from "../support/bench.ts";

it("a build that something still hangs on is not deleted, and says what, one or several", async () => {
  const server = await testServer();
  const { send } = server;
  const { cupboard, frame, heavy } = await smallWorld(server);
  const refusal = async (build: string) => {
    const { status, body } = await send("DELETE", `/api/builds/${build}`);
    return [status, body.error?.message];
  };
  const attempt = { workloadId: heavy, clockMhz: 4500, voltageMv: 1200, outcome: "pass", durationS: 60 };
  const addedTo = async (address: string, body: object): Promise<string> =>
    (await send("POST", `/api/builds/${address}`, body)).body.id;
  const first = await addedTo(`${cupboard}/attempts`, attempt);
  expect(await refusal(cupboard)).toEqual([409, "This build has 1 attempt; delete that first."]);
  const second = await addedTo(`${cupboard}/attempts`, attempt);
  expect(await refusal(cupboard)).toEqual([409, "This build has 2 attempts; delete those first."]);
  for (const id of [first, second]) await send("DELETE", `/api/attempts/${id}`);
  const reading = await addedTo(`${cupboard}/noise`, { distanceM: 1, levelsDba: [35] });
  expect(await refusal(cupboard)).toEqual([409, "This build has 1 noise reading; delete that first."]);
  await send("DELETE", `/api/noise/${reading}`);

  const { chipId, boardId } = (await send("GET", `/api/builds/${frame}`)).body;
  const based = (name: string) => send("POST", "/api/builds", { name, chipId, boardId, basedOn: frame });
  await based("Frame, new fan");
  expect(await refusal(frame)).toEqual([409, "This build has 1 build based on it; delete that first."]);
  await based("Frame, two fans");
  expect(await refusal(frame)).toEqual([409, "This build has 2 builds based on it; delete those first."]);
  expect(await refusal(cupboard)).toEqual([204, undefined]);
});
