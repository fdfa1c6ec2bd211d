import { smallWorld, testServer } from "./bench.ts";

/** A journal with one attempt to hang traces on. */
export async function tracedWorld() {
  const server = await testServer();
  const { cupboard, heavy } = await smallWorld(server);
  const body = { workloadId: heavy, clockMhz: 4600, voltageMv: 1200, outcome: "pass", durationS: 900 };
  const { body: attempt } = await server.send("POST", `/api/builds/${cupboard}/attempts`, body);
  return { journal: server.journal, attemptId: attempt.id as string };
}
