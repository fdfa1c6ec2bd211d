import { expect, it } from "vitest";
import { type SeededRandom, seededRandom } from "../../server/numerics/seededRandom.ts";
import { smallWorld, type TestServer, testServer } from "../support/bench.ts";

/** How a chip is cooled: a room below freezing, a chiller below the room, something that boils far below it, or all in turn. */
const coolings = [
  (random: SeededRandom) => ({ ambientC: random.uniformIn(-30, -10), over: random.uniformIn(5, 50) }),
  (random: SeededRandom) => ({ ambientC: random.uniformIn(18, 30), over: random.uniformIn(-45, 4) }),
  (random: SeededRandom) => ({ ambientC: random.uniformIn(18, 30), over: random.uniformIn(-118, -60) }),
  (random: SeededRandom) => ({ ambientC: random.uniformIn(-20, 30), over: random.uniformIn(-70, 60) }),
] as const;

const tenth = (value: number): number => Math.round(10 * value) / 10;

/** Attempts near 5000 MHz, each read as its cooling has it; some say no room, some no load temperature. */
async function coldEvening({ send }: TestServer, buildId: string, workloadId: string, random: SeededRandom) {
  const cooling = coolings[random.index(coolings.length)]!;
  const count = 3 + random.index(10);
  for (let i = 0; i < count; i++) {
    const { ambientC, over } = cooling(random);
    const clockMhz = 4600 + 25 * random.index(24);
    const voltageMv = 1100 + 50 * random.index(5);
    const isCrash = clockMhz > 4900 + 40 * random.normal();
    const loadTempC = tenth(Math.max(-100, ambientC + over));
    const reply = await send("POST", `/api/builds/${buildId}/attempts`, {
      ...{ workloadId, clockMhz, voltageMv, durationS: isCrash ? 60 + 60 * random.index(9) : 1200 },
      outcome: isCrash ? "freeze" : "pass",
      ...(random.uniform() < 0.8 && { ambientC: tenth(ambientC) }),
      ...(random.uniform() < 0.8 && { loadTempC, lowestTempC: Math.max(-100, tenth(loadTempC - 5)) }),
      ...(random.uniform() < 0.3 && { startTempC: tenth(random.uniformIn(-90, 25)) }),
      ...(random.uniform() < 0.3 && { powerW: 80 + random.index(150), powerAt: "chip" }),
      startedAt: new Date(Date.UTC(2031, 3, 1) + i * 3_600_000).toISOString(),
    });
    expect(reply.status, JSON.stringify(reply.body)).toBe(201);
  }
}

const absoluteZeroC = -273.15;

/** What is no answer: an end past the other, or a temperature that no thing has. */
function oddIn(value: unknown, at: string): string[] {
  if (Array.isArray(value)) return value.flatMap((one, i) => oddIn(one, `${at}[${i}]`));
  if (typeof value === "string") return /NaN|Infinity|undefined/.test(value) ? [`${at}: ${value}`] : [];
  if (typeof value !== "object" || value === null) return [];
  const fields = value as Record<string, unknown>;
  const odd = ordered(fields) ? [] : [`${at}: ${JSON.stringify(fields)}`];
  for (const [name, one] of Object.entries(fields)) {
    const isTemperature = /(TempC|ambientC|roomC)$/.test(name) && typeof one === "number";
    if (isTemperature && (one < absoluteZeroC || one > 300)) odd.push(`${at}.${name}: ${one}`);
    odd.push(...oddIn(one, `${at}.${name}`));
  }
  const forecast = fields.expectedTempC as { low: number; high: number } | null | undefined;
  if (forecast && (forecast.low < absoluteZeroC || forecast.high > 300))
    odd.push(`${at}.expectedTempC: ${JSON.stringify(forecast)}`);
  return odd;
}

const middles = [
  "mid",
  "mean",
  "limitMhz",
  "gainMhz",
  "mhz",
  "mv",
  "limitsApartMhz",
  "differenceMhz",
] as const;

function ordered(fields: Record<string, unknown>): boolean {
  const [low, high] = [
    fields.low ?? fields.lowMhz ?? fields.lowMv,
    fields.high ?? fields.highMhz ?? fields.highMv,
  ];
  const middle = middles.map((name) => fields[name]).find((one) => typeof one === "number");
  const ends = [low, middle, high].filter((one): one is number => typeof one === "number");
  return ends.every((one, i) => i === 0 || one >= ends[i - 1]! - 1e-9);
}

const textOf = (html: string): string => html.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");

it("answers, forecasts and pages stay finite, ordered and said with care, however cold the room or the cooler", async () => {
  const odd: string[] = [];
  let forecasts = 0;
  for (let journal = 0; journal < 6; journal++) {
    const random = seededRandom(4_200 + journal);
    const server = await testServer();
    const world = await smallWorld(server);
    if (journal % 3 === 0) await server.send("PATCH", `/api/chips/${world.chip}`, { lowestTempC: -80 });
    const hottestAmbientC = [-20, -5, 30][journal % 3]!;
    for (const build of [world.cupboard, world.frame]) {
      await server.send("PATCH", `/api/builds/${build}`, { hottestAmbientC });
      await coldEvening(server, build, world.heavy, random);
    }
    const [a, b] = [world.cupboard, world.frame];
    for (const address of [
      ...["frontier", "limit", "next", "next?clockMhz=4600", "best", "best?goal=cool"].map(
        (answer) => `/api/builds/${a}/${answer}`,
      ),
      `/api/compare?a=${a}&b=${b}`,
    ]) {
      const { status, body } = await server.send("GET", address);
      expect(status, address).toBe(200);
      if (body.expectedTempC) forecasts += 1;
      odd.push(...oddIn(body, `journal ${journal} ${address}`));
    }
    for (const address of [
      ...[`/?build=${a}`, `/builds/${a}`, `/builds/${a}/attempts`, `/compare?a=${a}&b=${b}`, "/heat"],
      `/bench/forecast?build=${a}&workloadId=${world.heavy}&clockMhz=5600&voltageMv=1.4&plannedS=20`,
      ...["/builds", `/write-up?builds=${a}`, `/builds/${a}/note`],
    ]) {
      const { status, body } = await server.send("GET", address);
      expect([200, 404, 409], address).toContain(status);
      const found = textOf(body).match(
        /.{0,40}(NaN|Infinity|undefined|null °C|[−-]0 °C|[−-]2[789]\d °C|[−-][3-9]\d\d °C).{0,40}/g,
      );
      odd.push(...(found ?? []).map((words) => `journal ${journal} ${address}: ${words}`));
    }
  }
  expect(odd).toEqual([]);
  expect(forecasts).toBeGreaterThan(3);
}, 300_000);
