import type { RunRecord, RunSpool, SecondTold } from "./runRecord.ts";
import { isRefused, isTaken, type Transport } from "./transport.ts";

/** Sends what the spool of one run holds, in order, until the server has all of it. */
export type Delivery = Readonly<{
  /** Sends what there is to send. Resolves when nothing is left, or the server cannot be reached for now. */
  pump(): Promise<void>;
  /** True once the end has arrived, and everything before it. */
  isDone(): boolean;
}>;

export type DeliveryOf = Readonly<{
  spool: RunSpool;
  send: Transport;
  bootId: string;
  say(words: string): void;
}>;

/** Rows are sent a few seconds at a time: the server waits for its disk with each request. */
const rowsTogether = 5;
const mostRows = 600;

export function deliveryOf({ spool, send, bootId, say }: DeliveryOf): Delivery {
  const { attemptId } = spool.begun;
  const address = `/api/attempts/${attemptId}`;
  let beatsSent = spool.delivered();
  let rowsSent = spool.delivered();
  let [isPumping, isOver, isPast] = [false, false, false];

  async function pump(): Promise<void> {
    if (isPumping || isOver) return;
    isPumping = true;
    try {
      while (!isOver && (await step()));
    } catch {
      // Unreachable: later.
    } finally {
      isPumping = false;
    }
  }

  /** Sends one request. Gives false where there is nothing to send, or the server wants to be asked later. */
  async function step(): Promise<boolean> {
    const records = spool.records();
    const next = records[beatsSent];
    if (next?.kind === "begun") return begun(next);
    if (next?.kind === "second") return beat(next);
    const rows = waitingRows(records);
    if (rows.length >= rowsTogether || (rows.length > 0 && next?.kind === "end")) return sendRows(rows);
    if (next?.kind === "end") return end(next);
    return false;
  }

  async function begun({ startedAt }: Extract<RunRecord, { kind: "begun" }>): Promise<boolean> {
    const answered = await send({
      method: "PATCH",
      path: address,
      body: { startedAt },
      key: `${attemptId}-begun`,
    });
    if (isRefused(answered)) refused("when it began", answered);
    return isRefused(answered) || isTaken(answered) ? passed() : false;
  }

  async function beat({ t, seq, beat: told }: SecondTold): Promise<boolean> {
    if (isPast) return passed();
    const body = { elapsedS: t, seq, from: "machine", bootId, ...told };
    const answered = await send({ method: "POST", path: `${address}/heartbeats`, body });
    // Whoever ended it meanwhile has said how far it got.
    if (answered.status === 409) isPast = true;
    else if (isRefused(answered)) refused("a heartbeat", answered);
    return isRefused(answered) || isTaken(answered) ? passed() : false;
  }

  function waitingRows(records: readonly RunRecord[]): readonly SecondTold[] {
    const until = Math.min(beatsSent, rowsSent + mostRows);
    return records.slice(rowsSent, until).filter((one) => one.kind === "second");
  }

  async function sendRows(rows: readonly SecondTold[]): Promise<boolean> {
    const until = Math.min(beatsSent, rowsSent + mostRows);
    const lines = rows
      .map(({ t, row }) => ({ elapsedS: t, ...row }))
      .filter((row) => Object.keys(row).length > 1);
    if (lines.length > 0) {
      const answered = await send({ method: "POST", path: `${address}/samples`, lines });
      if (!isTaken(answered) && !isRefused(answered)) return false;
      if (isRefused(answered)) refused("its readings", answered);
    }
    rowsSent = until;
    return noted();
  }

  async function end({ outcome, durationS, fields }: Extract<RunRecord, { kind: "end" }>): Promise<boolean> {
    const whole = outcome === null ? fields : { ...fields, outcome, durationS, toldBy: "attendant" };
    let answered = await send({ method: "PATCH", path: address, body: whole, key: `${attemptId}-end` });
    if (answered.status === 409 && outcome !== null) {
      say(`Somebody has said already how ${attemptId} ended; that stands.`);
      answered = await send({ method: "PATCH", path: address, body: fields, key: `${attemptId}-besides` });
    }
    if (!isTaken(answered) && !isRefused(answered)) return false;
    isOver = true;
    if (isTaken(answered) || answered.status === 404) spool.close();
    else {
      refused("how it ended", answered);
      spool.putAside();
    }
    return false;
  }

  function passed(): boolean {
    beatsSent += 1;
    // The beginning is no row.
    if (rowsSent === 0 && beatsSent === 1) rowsSent = 1;
    return noted();
  }

  function noted(): boolean {
    const upTo = Math.min(beatsSent, rowsSent);
    if (upTo > spool.delivered()) spool.noteDelivered(upTo);
    return true;
  }

  // biome-ignore lint/suspicious/noExplicitAny: see Answered
  const refused = (what: string, { status, body }: { status: number; body: any }): void =>
    say(`The server refuses ${what} (${status}): ${body?.error?.message ?? "it does not say why"}`);

  return { pump, isDone: () => isOver };
}
