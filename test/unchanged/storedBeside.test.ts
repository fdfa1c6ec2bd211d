import { expect, it } from "vitest";
import { stagedDocument } from "../../server/store/file/stagedDocument.ts";
import { drawnFrom, msOfId, uuidV7 } from "../../server/store/rows/ids.ts";
import { type Held, heldJournal, heldNow, later, writingOn } from "./heldJournal.ts";
import { printOf, telling } from "./telling.ts";

it("what is kept beside the record, and how lists are gone on with, is answered for as before", async () => {
  const { tell, told } = telling();
  const held = heldJournal(97);
  const { journal, buildId, otherId, attemptId } = held;
  const write = writingOn(held);
  const { answeredPosts, importMappings, traces, keptAnswers, merges, writeUpWords } = journal;
  const tried = (asked: string, work: (at: Held["at"]) => unknown): void => tell(asked, () => write(work));
  for (const [n, key] of ["a", "b", "c"].entries())
    tried(`an answer under ${key}`, ({ now }) =>
      answeredPosts.keep(
        { key, address: "/x", bodyHash: "h", status: 201, answer: n === 1 ? attemptId : "{}" },
        now,
      ),
    );
  tried("the same key", ({ now }) =>
    answeredPosts.keep({ key: "a", address: "", bodyHash: "", status: 1, answer: "" }, now),
  );
  const answers = () =>
    ["a", "b", "c", "d"].map((key) => answeredPosts.find(key)?.status ?? "none").join(" ");
  tell("  kept", answers);
  tried("those that name an attempt are forgotten", () => answeredPosts.forgetNaming(attemptId));
  tell("  kept", answers);
  tried("those before the second", () => answeredPosts.forgetBefore(later(2)));
  tell("  kept", answers);
  for (const mapping of [{ a: 1 }, { a: 2 }]) {
    tried("a mapping", ({ now }) => importMappings.keep("head", mapping, now));
    tell("  kept", () => [importMappings.find("head"), importMappings.find("heads")]);
  }
  const time = { column: "P", channel: "time", unit: "s", everyS: null };
  const heat = { column: "T", channel: "temperature", unit: "°C", everyS: null };
  for (const unit of ["°C", "°F"]) {
    tried("matches", ({ now }) => traces.keepMatches([" T ", "P"], [time, { ...heat, unit }], now));
    tell("  kept", () => [traces.matchesFor(["T", "P"]), traces.matchesFor(["P", "T"])]);
  }
  tried(
    "matches that are none",
    () => void journal.db.$client.exec("UPDATE column_matches SET matches = '7'"),
  );
  tell("  kept", () => traces.matchesFor(["T", "P"]));
  const aim = { use: "daily", goal: "efficiency" } as const;
  for (const answer of [{ mhz: 1 }, { mhz: 2 }]) {
    tried("an answer of a build", () => keptAnswers.keep(buildId, aim, answer));
    tell("  kept", () => [
      keptAnswers.find(buildId, aim),
      keptAnswers.find(otherId, aim),
      keptAnswers.find(buildId, { ...aim, use: "benchmark" }),
    ]);
  }
  tried("in another form", () => void journal.db.$client.exec("UPDATE kept_answers SET form = form - 1"));
  tried("  let go of", () => keptAnswers.keep(otherId, aim, {}));
  tell("  kept", () => [keptAnswers.find(buildId, aim), keptAnswers.find(otherId, aim)]);
  const step = (list: string, thingId: string, of: string) => ({
    list,
    thingId,
    before: JSON.stringify({ fields: { buildId: of } }),
    left: "print",
  });
  for (const [n, id] of ["m1", "m2", "m3"].entries())
    tried(`a merge ${id}`, ({ now }) =>
      merges.keep({ id, at: now, added: n, updated: 7 }, [
        step("attempts", "t1", buildId),
        step("builds", "t2", otherId),
        step("attempts", `t${n + 3}`, otherId),
      ]),
    );
  const merged = () => [
    merges
      .all()
      .map(({ id, added }) => `${id} ${added}`)
      .join(),
    ...["m1", "m2", "m3", "m4"].map((id) =>
      [
        merges.find(id)?.updated,
        merges
          .stepsBack(id)
          .map(({ thingId }) => thingId)
          .join(" "),
        merges.firstOf(id)?.thingId,
      ].join(" "),
    ),
  ];
  tell("  kept", merged);
  tried("  attempts of a build forgotten", () => merges.forgetAttemptsOf(buildId));
  tried("  a thing forgotten", () => merges.forgetThing("t4"));
  tell("  kept", merged);
  const second = Date.parse(merges.find("m2")!.at);
  tried("  those before the second forgotten", () => merges.forgetBefore(new Date(second).toISOString()));
  tried("  the third forgotten", () => merges.forget("m3"));
  tell("  kept", merged);
  const own = (words: string, now: string, slot = "s") => ({
    builds: buildId,
    slot,
    words,
    replaced: "ours",
    updatedAt: now,
  });
  for (let n = 0; n < 24; n += 1)
    write(({ now }) => writeUpWords.keep(own(`words ${n >> (n > 20 ? 3 : 0)}`, now)));
  const words = () => [
    writeUpWords.of(buildId),
    writeUpWords
      .earlierOf(buildId, "s")
      .map(({ words }) => words.slice(6))
      .join(" "),
    writeUpWords.all().map(({ words, dropped, stamp }) => `${words} ${dropped} ${stamp}`),
    [...writeUpWords.allEarlier()].length,
  ];
  tell("own words", words);
  tried("  given up", ({ now }) => writeUpWords.drop(buildId, "s", now));
  tried("  twice", ({ now }) => writeUpWords.drop(buildId, "s", now));
  tried("  of none", ({ now }) => writeUpWords.drop(otherId, "s", now));
  tell("own words", words);
  tried("  written again", ({ now }) => writeUpWords.keep(own("new", now)));
  tell("  with earlier", () =>
    ["", "late"].map((more) => writeUpWords.withEarlier(buildId, "s", { stamp: "zz", words: more }).length),
  );
  tried("  others kept", () =>
    writeUpWords.keepEarlier(buildId, "s", [
      { stamp: "00op8f2v4g0000b", words: "two" },
      { stamp: "00op8f2v4g0000a", words: "one" },
    ]),
  );
  tell("own words", words);
  tried(
    "  forgotten",
    () => [writeUpWords.forgetEarlier(buildId, "s"), writeUpWords.forgetWhole(buildId, "s")].length,
  );
  tell("own words", words);
  const gave = (stamp: string, output: string) => ({ attemptId, what: "output" as const, stamp, output });
  tried("outputs that gave way", () =>
    journal.attempts.keepGaveWay(attemptId, [gave("00op8f2v4g0000b", "two"), gave("00op8f2v4g0000a", "one")]),
  );
  tell("  kept", () => [
    journal.attempts.gaveWayOf(attemptId),
    [...journal.attempts.allGaveWay()].length,
    journal.attempts.gaveWayOf("none"),
  ]);
  tried("  these instead", () => journal.attempts.keepGaveWay(attemptId, [gave("00op8f2v4g0000c", "three")]));
  tell("  kept", () => [...journal.attempts.allGaveWay()]);
  tried("  dropped", () => journal.attempts.dropGaveWay(attemptId));
  tell("  kept", () => [...journal.attempts.allGaveWay()]);
  const cursorFrom = (value: unknown) => Buffer.from(JSON.stringify(value)).toString("base64url");
  for (const [name, value] of Object.entries({
    number: [7, "a"],
    words: ["a", "a"],
    one: [7],
    three: [7, "a", 1],
    "no id": [7, 7],
    object: { order: 7 },
    none: null,
  })) {
    tell(
      `from a position of ${name}`,
      () => journal.attempts.pageOf(buildId, { limit: 5, after: cursorFrom(value) }).items.length,
    );
    tell("  by name", () => journal.builds.page({ limit: 5, after: cursorFrom(value) }).items.length);
  }
  tell("from what is none", () => journal.attempts.pageOf(buildId, { limit: 5, after: "!" }));
  const id = uuidV7(
    Date.parse(heldNow),
    Uint8Array.from({ length: 10 }, (_, at) => 250 + at),
  );
  tell("an id", () => [
    id.length,
    msOfId(id) === Date.parse(heldNow),
    msOfId("none"),
    msOfId(uuidV7(2 ** 47 + 5, new Uint8Array(10))) - 2 ** 47,
    id.replace(/-7/, " 7"),
  ]);
  const sizes: number[] = [];
  const draw = drawnFrom((count) => {
    sizes.push(count);
    return Uint8Array.from({ length: count }, (_, at) => at % 256);
  });
  tell("chance", () => [...[10, 10, 980, 10, 1000, 1001, 1].map((count) => draw(count)[0]), sizes.join()]);
  tell("beats", () =>
    [
      { elapsedS: 5, seq: 2 },
      { elapsedS: 5, seq: 3 },
      { elapsedS: 6, seq: 2 },
      { elapsedS: 6, seq: 3 },
      { elapsedS: 7, seq: null },
      { elapsedS: 8, seq: 1 },
    ]
      .map(({ elapsedS, seq }) => {
        write(({ now }) =>
          journal.attempts.beat(attemptId, {
            ...{ elapsedS, seq, at: now, from: "watcher", tempC: null, powerW: 7 },
            ...{ loadVoltageMv: 1100.5, clockMhz: 4000.25, correctedErrors: { bus: 1 }, bootId: "b" },
          }),
        );
        const { elapsedS: last, seq: count } = journal.attempts.lastHeartbeat(attemptId, "watcher")!;
        return `${last} ${count}`;
      })
      .join(", "),
  );
  tell("the last", () => JSON.stringify(journal.attempts.lastHeartbeat(attemptId, "watcher")));
  const staged = stagedDocument();
  staged.keep("chips", { id: "c", name: "Tern", knobs: { b: 1, a: 2 } });
  const first = staged.print();
  staged.keep("chips", { id: "d", knobs: { a: 2, b: 1 } });
  staged.keep("traceChunks", { attemptId: "x", chunk: 1 });
  staged.keep("builds", { id: "e" }, "deleted");
  tell("staged", () => [
    [...staged.things("chips")],
    [...staged.ids("chips")],
    [...staged.chunksOf("x")],
    [...staged.chunksOf("y")],
    staged.print() === first,
    [...staged.ids("builds")],
  ]);
  tell("  print", () => printOf(Buffer.from(staged.print())));
  staged.close();
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedBeside.txt");
});
