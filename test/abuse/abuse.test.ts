import { describe, expect, it } from "vitest";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { freshJournal, type TestServer } from "../support/bench.ts";
import { formsOf, type PageForm } from "../support/pageForms.ts";
import { abusedWorld, idsIn, putBack, rawBodiesOf } from "./abusedWorld.ts";
import { type Attack, assaultOn } from "./assault.ts";
import { authorsOf } from "./authors.ts";
import { formAttack, multipartAttack } from "./formAttacks.ts";
import { oneOf } from "./hostile.ts";
import { attackOn, operationsOf } from "./interfaceAttacks.ts";
import type { Draw } from "./schemaDraw.ts";

/** `npm run abuse` sends ten times as many, and others where a seed is given. */
const isLong = process.env.MODE === "long";
const seed = Number(process.env.SEED ?? 1_000_000);
const requests = isLong ? 30_000 : 3000;
const perWorld = 3000;
const untilPutBack = 100;

type Draws = (draw: Draw) => Attack;

const told = ({ method, url, headers, body }: Attack): string =>
  [method, url.slice(0, 200), headers.join(" ").slice(0, 200), body?.toString("latin1").slice(0, 400)]
    .join(" ")
    .replace(/[^\x20-\x7e\n]/g, "?");

/** Of six requests four go to the interface, one is a page's form, and one a form in parts. */
async function drawsOn(server: TestServer): Promise<Draws> {
  const operations = await operationsOf(server);
  const forms = await formsOf(server);
  const plain = placesOf(forms, ({ isMultipart }) => !isMultipart);
  const inParts = placesOf(forms, ({ isMultipart }) => isMultipart);
  return (draw) => {
    const { random } = draw;
    const kind = random.index(6);
    if (kind < 4) return attackOn(oneOf(random, operations), draw);
    const places = kind === 4 ? plain : inParts;
    return (kind === 4 ? formAttack : multipartAttack)(oneOf(random, oneOf(random, places)), draw);
  };
}

const placesOf = (forms: readonly (readonly PageForm[])[], isWanted: (form: PageForm) => boolean) =>
  forms.map((alike) => alike.filter(isWanted)).filter((alike) => alike.length > 0);

/** Sends the requests numbered so, to one world, and gives every fault with the number it comes back by. */
async function faultsUnder(from: number, to: number): Promise<string[]> {
  const faults: string[] = [];
  const authors = authorsOf(freshJournal());
  const server = await abusedWorld(authors.journal);
  const { met, counts } = assaultOn(server, authors);
  const drawOne = await drawsOn(server);
  const raws = await rawBodiesOf(server);
  for (let nth = from; nth < to; nth++) {
    if (nth % untilPutBack === 0) await putBack(server);
    const attack = drawOne({ random: seededRandom(nth), ids: idsIn(server), raws });
    const fault = await met(attack);
    if (fault !== null) faults.push(`${nth}: ${told(attack)} ${fault}`);
  }
  if (isLong) console.log(Object.fromEntries([...counts].sort(([a], [b]) => a - b)), faults);
  await server.app.close();
  return faults;
}

describe("whatever is sent to the interface and by the forms of the pages, files too", () => {
  it("is answered: no fault, no hang, nothing changed by what is refused", async () => {
    const faults: string[] = [];
    for (let from = seed; from < seed + requests; from += perWorld)
      faults.push(...(await faultsUnder(from, Math.min(seed + requests, from + perWorld))));
    expect(faults).toEqual([]);
  }, 3_600_000);
});
