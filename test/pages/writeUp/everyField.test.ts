import { expect, it } from "vitest";
import { type AttemptFieldName, attemptFieldNames } from "../../../server/bench/things/attemptFields.ts";
import { testServer } from "../../support/bench.ts";
import { everyChip, everyField } from "../../support/everyField.ts";
import { filesIn } from "../../support/filesInArchive.ts";

/** How a field stands among the attempts that go with an account, and in the account itself where it tells of it; or why not. */
type InWriteUp = Readonly<{ cell: string; told?: RegExp }> | Readonly<{ because: string }>;

/** Of one attempt of `everyChip` that says all. A field without an entry does not compile. */
const inWriteUp = {
  startedAt: { cell: "2031-05-04T12:00:00.000Z", told: /1 day, / },
  workloadId: { cell: "Long sums" },
  clockMhz: { cell: "4490.125" },
  voltageMv: { cell: "1151.5" },
  outcome: { cell: "freeze" },
  plannedS: { cell: "1200" },
  durationS: { cell: "400", told: /0\.1 h in all/ },
  failedFromS: { cell: "300" },
  failedToS: { cell: "390" },
  ambientC: { cell: "21.5", told: /1 mount, the room at 21\.5 °C/ },
  loadTempC: { cell: "61" },
  peakTempC: { cell: "66" },
  startTempC: { cell: "31" },
  supplyTempC: { cell: "58" },
  loadVoltageMv: { cell: "1120" },
  voltageReadAt: { cell: "chip" },
  loadLine: { cell: "level 3", told: /Load-line: level 3 in 1 attempt\./ },
  currentA: { cell: "96.4" },
  powerW: { cell: "125.5" },
  powerAt: { cell: "board" },
  fanRpm: { cell: "1450" },
  fanMode: { cell: "quiet", told: /Fans: quiet in 1 attempt\./ },
  effectiveClockMhz: { cell: "4471" },
  throttled: { cell: "true", told: /Throttled: 1 attempt\./ },
  correctedErrors: { cell: "12", told: /Corrected errors counted in 1 attempt, 10 at most\./ },
  startKind: { cell: "cold", told: /Started: cold in 1 attempt\./ },
  clockMode: { cell: "boost", told: /Left to boost: 1 attempt\./ },
  score: { cell: "30.9" },
  note: { because: "The tester's own words; whoever writes the account has words of his own there." },
  tags: { because: "The tester's own words." },
  alsoSet: { cell: '[{"name":"fabric clock","value":2000,"harder":"up"}]' },
  aboveCeiling: { cell: "true", told: /Set above a ceiling on purpose: 1 attempt\./ },
  offset: { cell: "-22.5" },
  offsets: { cell: '{"core 0":-20,"die 1: core 1":-12.5}' },
  part: { cell: "core 0", told: /\| core 0 \|/ },
  crashPart: { cell: "die 1: core 1", told: /The kernel named as failed: die 1: core 1 in 1 attempt\./ },
  knobs: {
    cell: '{"power-limit":105,"load-line":"3","supply":{"auto":1.05},"bus":100}',
    told: /Power limit: 105 % in 1 attempt\./,
  },
  settingReadBack: { cell: "confirmed" },
  freshBoot: { cell: "true" },
  training: { cell: "full", told: /The memory trained: in full in 1 attempt\./ },
  starts: { cell: '{"tried":4,"up":3}', told: /Starts: 3 of 4 came up\./ },
  cycles: { cell: "12", told: /Cycles of the test: 12 at most/ },
  coveragePct: { cell: "400", told: /Coverage of the test: 400 % at most/ },
  errors: {
    cell: '[{"atS":61,"module":"A2","bit":17},{"atS":720}]',
    told: /Errors found: 2, on module A2\./,
  },
  temps: { cell: '{"hotspot":84,"edge":70.5}', told: /Read at the hotspot: 84 °C at most/ },
  lowestTempC: { cell: "29" },
  correctedErrorsAt: { cell: '{"cache":10,"bus":2}' },
  toldBy: { cell: "attendant", told: /Told by the machine itself: 1 attempt, the load proved in 1\./ },
  loadProved: { cell: "true" },
  bootId: { because: "Tells one start of a machine from another, and nothing to a reader." },
} as const satisfies Readonly<Record<AttemptFieldName, InWriteUp>>;

it("every field of an attempt goes with the account or there is a reason, and the account tells of those that a reader weighs", async () => {
  const server = await testServer();
  const made = async (url: string, body: object) => (await server.send("POST", url, body)).body.id as string;
  const chipId = await made("/api/chips", { name: "Wren 6", kind: "cpu", tempLimitC: 95, ...everyChip });
  const boardId = await made("/api/boards", { name: "Vole" });
  const [load, other] = [
    await made("/api/workloads", { name: "Long sums", kind: "all-core" }),
    await made("/api/workloads", { name: "Short sums", kind: "all-core" }),
  ];
  const build = await made("/api/builds", { name: "Cupboard", chipId, boardId });
  const fields = everyField(load, other);
  const attempt = Object.fromEntries(attemptFieldNames.map((name) => [name, fields[name].first]));
  expect(await made(`/api/builds/${build}/attempts`, attempt)).toBeDefined();
  const reply = await server.app.inject({ url: `/write-up.zip?builds=${build}` });
  const files = filesIn(reply.rawPayload);
  const [head = "", line = ""] = (files.get("tables/attempts-1.csv")?.toString() ?? "").split("\r\n");
  const names = head.split(",").map((name) => name.replace(/ \[.*\]$/, ""));
  const cells = [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map(([, cell = ""]) =>
    cell
      .replace(/^"(.*)"$/, "$1")
      .replaceAll('""', '"')
      .replace(/^'/, ""),
  );
  const text = (files.get("write-up.md")?.toString() ?? "").replaceAll("\\", "");
  for (const name of attemptFieldNames) {
    const wanted: InWriteUp = inWriteUp[name];
    const at = names.indexOf(name === "workloadId" ? "workload" : name);
    if ("because" in wanted) expect.soft([name, at]).toEqual([name, -1]);
    else expect.soft([name, cells[at]]).toEqual([name, wanted.cell]);
    if ("told" in wanted && wanted.told) expect.soft(text, name).toMatch(wanted.told);
  }
  expect(head).toContain("offset [mV]");
  for (const own of [fields.note.first, fields.tags.first[0]]) expect(line).not.toContain(own);
});
