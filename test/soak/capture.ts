/** What a capturing script sends: ten rows a second of thirty channels, each value known from its place alone. */
const known = [
  "temperatureC",
  "supplyC",
  "ambientC",
  "powerW",
  "voltageMv",
  "currentA",
  "clockMhz",
  "fanRpm",
];
const own = Array.from({ length: 22 }, (_, core) => `Core ${core + 1} [°C]`);
const fieldsSent: readonly string[] = [...known, ...own];
const channelsKept: readonly string[] = [
  ...["temperature", "supply", "ambient", "power", "voltage", "current", "clock", "fan"],
  ...own.map((name) => name.replace(" [°C]", "")),
];
const rowsASecond = 10;
/** As many points as one answer gives of a trace at most, rows uncut. */
const rowsRead = 10_000;

/** A course that never repeats within an hour and differs from channel to channel. */
const valueAt = (row: number, channel: number): number =>
  Math.round((50 + channel + 20 * Math.sin(row / 97 + channel) + 3 * Math.sin(row * 1.7 + channel)) * 100) /
  100;

const lineOf = (row: number): string =>
  JSON.stringify(
    Object.fromEntries([
      ["elapsedS", row / rowsASecond],
      ...fieldsSent.map((field, channel) => [field, valueAt(row, channel)]),
    ]),
  );

export type Captured = Readonly<{
  /** Rows that were due, each sent until it was kept. */
  rows: number;
  /** Rows that the server said it kept. */
  kept: number;
  /** How long each sending took, in ms. */
  tookMs: readonly number[];
  /** Sendings that were not answered with 200, and had to be repeated. */
  repeated: number;
}>;

/** Sends what is due once a second until it is stopped; what one sending could not bring goes with the next. */
export function capturing(url: string, attemptId: string): { stop(): Promise<Captured> } {
  const startMs = performance.now();
  const tookMs: number[] = [];
  let [rows, kept, repeated, isStopped] = [0, 0, 0, false];

  async function send(): Promise<void> {
    const due = Math.floor(((performance.now() - startMs) / 1000) * rowsASecond);
    if (due === rows) return;
    const body = Array.from({ length: due - rows }, (_, at) => lineOf(rows + at)).join("\n");
    const before = performance.now();
    const answer = await fetch(`${url}/api/attempts/${attemptId}/samples`, {
      method: "POST",
      headers: { "content-type": "application/x-ndjson" },
      body,
    }).catch(() => undefined);
    if (answer?.status !== 200) {
      repeated += 1;
      return;
    }
    kept += ((await answer.json()) as { kept: number }).kept;
    rows = due;
    tookMs.push(performance.now() - before);
  }

  async function goOn(): Promise<void> {
    while (!isStopped) {
      await send();
      await new Promise((resolve) => setTimeout(resolve, 1000 - ((performance.now() - startMs) % 1000)));
    }
    await send();
  }

  const going = goOn();
  return {
    async stop() {
      isStopped = true;
      await going;
      return { rows, kept, tookMs, repeated };
    },
  };
}

/** How many samples the trace does not hold as they were sent. */
export async function samplesLost(url: string, attemptId: string, rows: number): Promise<number> {
  let lost = 0;
  for (const [channel, name] of channelsKept.entries())
    for (let from = 0; from < rows; from += rowsRead) {
      const to = Math.min(rows, from + rowsRead);
      lost += to - from - (await rightIn(`${url}/api/attempts/${attemptId}/trace`, name, channel, from, to));
    }
  return lost;
}

async function rightIn(
  address: string,
  name: string,
  channel: number,
  from: number,
  to: number,
): Promise<number> {
  const window = { from: from / rowsASecond, to: (to - 1) / rowsASecond };
  const query = new URLSearchParams({
    ...{ channel: name, points: "20000" },
    ...{ from: String(window.from), to: String(window.to) },
  });
  const answer = await fetch(`${address}?${query}`);
  if (answer.status !== 200) return 0;
  const { t, mean } = (await answer.json()) as { t: number[]; mean: (number | null)[] };
  const rowOf = new Map(t.map((seconds, at) => [Math.round(seconds * rowsASecond), mean[at]]));
  return Array.from({ length: to - from }, (_, at) => from + at).filter(
    (row) => rowOf.get(row) === valueAt(row, channel),
  ).length;
}
