import { expect, it } from "vitest";
import { attemptFieldNames, fieldDescription } from "../../server/bench/things/attemptFields.ts";
import { columnName } from "../../server/csv/attemptColumns.ts";
import { attemptFileOf } from "../../server/csv/attemptFile.ts";
import { mappingProposed } from "../../server/csv/attemptMapping.ts";
import { fullDraft, setByEverything } from "../store/file/keptJournals.ts";
import { smallWorld, testServer } from "../support/bench.ts";

it("every field of an attempt goes through the journal, a file, the export, the form and the description", async () => {
  const { send, ...server } = await testServer();
  const { chip, cupboard, heavy } = await smallWorld({ send, ...server });
  await send("PATCH", `/api/chips/${chip}`, setByEverything);
  const draft = fullDraft(heavy, "2031-05-04T12:00:00.000Z");
  const sent = await send("POST", `/api/builds/${cupboard}/attempts`, draft);
  expect(sent.status).toBe(201);
  const { id } = sent.body;
  expect((await send("GET", `/api/attempts/${id}`)).body).toMatchObject(draft);
  expect((await send("GET", "/api/export")).body.attempts[0]).toMatchObject(draft);

  const csv = (await send("GET", `/api/builds/${cupboard}/attempts.csv`)).body as string;
  const { meanings } = mappingProposed(attemptFileOf(csv), "UTC");
  expect(meanings.map((meaning) => meaning?.field)).toEqual([
    ...["id", "build"],
    ...attemptFieldNames.map(columnName),
    "setAsideReason",
  ]);
  const other = await testServer();
  const there = await smallWorld(other);
  await other.send("PATCH", `/api/chips/${there.chip}`, setByEverything);
  const back = await other.app.inject({
    ...{ method: "POST", url: `/api/builds/${there.cupboard}/attempts.csv`, payload: csv },
    headers: { "content-type": "text/csv" },
  });
  expect(back.statusCode).toBe(201);
  expect(other.journal.attempts.allOf(there.cupboard)[0]).toMatchObject({
    ...draft,
    workloadId: there.heavy,
  });

  const page = (await send("GET", `/attempts/${id}`)).body as string;
  const asked = attemptFieldNames.filter((name) => fieldDescription[name].group !== undefined);
  expect(asked.filter((name) => !page.includes(`name="${name}"`))).toEqual([]);
  const described = JSON.stringify((await send("GET", "/api/openapi.json")).body);
  expect(attemptFieldNames.filter((name) => !described.includes(`"${name}"`))).toEqual([]);
});
