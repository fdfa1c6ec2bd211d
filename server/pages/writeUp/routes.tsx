import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { keepOwnWords, type TypedWords } from "../../actions/ownWords.ts";
import { accountKey, accountOf, latestAccountOf } from "../../answers/accountOf.ts";
import { missing } from "../../bench/things/refusal.ts";
import { slotsOf } from "../../bench/writeUp/slots.ts";
import { fragmentHtml, pageHtml } from "../../html/document.tsx";
import { valueAsked } from "../kit/addressed.ts";
import type { PageContext } from "../kit/context.ts";
import { type FormState, formAfter, freshForm, type Typed, typedIn } from "../kit/forms.ts";
import { sendPage } from "../kit/sendPage.ts";
import { frameOf } from "../siteMap.ts";
import { archiveOf, markdownOf } from "./archive.ts";
import { type AccountTyped, accountAddress, accountAsked, assertFew, queryIn } from "./asked.ts";
import { ChooseAccountPage } from "./choose.tsx";
import { AccountPage, AccountPiece } from "./view.tsx";
import { WordsPage } from "./words.tsx";

export function registerWriteUp(app: FastifyInstance, context: PageContext): void {
  app.get("/write-up", (request, reply) => writeUpAnswer(context, request, reply));

  /** 204 while something is still being fitted. */
  app.get("/write-up/account", (request, reply) => {
    const asked = someAsked(request);
    const answer = latestAccountOf(context, questionOf(context, asked));
    if (!answer.fresh) return reply.code(204).send();
    return sendPage(
      reply,
      fragmentHtml(<AccountPiece shown={{ asked, answer, builds: context.journal.builds.all() }} />),
    );
  });

  app.get("/write-up.md", async (request, reply) => {
    const answer = await fitted(context, someAsked(request));
    return kept(reply, "text/markdown; charset=utf-8", "write-up.md").send(markdownOf(answer));
  });

  app.get("/write-up.zip", async (request, reply) => {
    const answer = await fitted(context, someAsked(request));
    const archive = await archiveOf(answer, context.journal);
    return kept(reply, "application/zip", "write-up.zip").send(Buffer.from(archive));
  });

  registerWords(app, context);
}

const questionOf = ({ now, demo }: PageContext, asked: AccountTyped) => ({
  ...asked,
  now: now(),
  invented: demo,
});

const fitted = (context: PageContext, asked: AccountTyped) => accountOf(context, questionOf(context, asked));

const kept = (reply: FastifyReply, type: string, name: string): FastifyReply =>
  reply
    .type(type)
    .header("content-disposition", `attachment; filename="${name}"`)
    .header("cache-control", "no-store");

/** An account that must be of something. */
function someAsked(request: FastifyRequest): AccountTyped {
  const asked = accountAsked(queryIn(request));
  if (asked.buildIds.length === 0) throw missing("build");
  assertFew(asked);
  return asked;
}

async function writeUpAnswer(
  context: PageContext,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const query = queryIn(request);
  const asked = accountAsked(query);
  const isSent = query.builds !== undefined || query.use !== undefined;
  try {
    assertFew(asked);
    if (asked.buildIds.length === 0) return chooseAnswer(context, reply, asked, refusedNone(isSent));
    if (query.against !== undefined || Array.isArray(query.builds))
      return reply.redirect(accountAddress(asked), 303);
    const waits = valueAsked(request, "wait") === "yes";
    const answer = waits
      ? await fitted(context, asked)
      : latestAccountOf(context, questionOf(context, asked));
    return sendPage(
      reply,
      pageHtml(
        <AccountPage
          frame={frameOf(context, "write-up")}
          shown={{ asked, answer, builds: context.journal.builds.all() }}
        />,
      ),
    );
  } catch (error) {
    return chooseAnswer(context, reply, asked, formAfter(error, {}));
  }
}

const refusedNone = (isSent: boolean): FormState =>
  isSent
    ? { typed: {}, refused: { message: "No build is chosen.", fields: { builds: "Choose at least one." } } }
    : freshForm();

function chooseAnswer(
  context: PageContext,
  reply: FastifyReply,
  { buildIds, use }: AccountTyped,
  { refused }: FormState,
): FastifyReply {
  const builds = context.journal.builds.all().map(({ id, name }) => ({ id, name }));
  const choosing = { builds, chosen: buildIds, use, refused };
  const page = <ChooseAccountPage frame={frameOf(context, "write-up")} choosing={choosing} />;
  return sendPage(reply, pageHtml(page), refused === null ? 200 : 422);
}

function registerWords(app: FastifyInstance, context: PageContext): void {
  const { journal, now } = context;

  app.get("/write-up/words", (request, reply) =>
    wordsAnswer(context, reply, someAsked(request), freshForm()),
  );

  app.post("/write-up/words", async (request, reply) => {
    const typed = typedIn(request.body);
    const asked = accountAsked(typed);
    if (asked.buildIds.length === 0) throw missing("build");
    try {
      await journal.write(() =>
        keepOwnWords(accountKey(asked.buildIds), wordsTyped(typed), { journal, now: now() }),
      );
      return reply.redirect(accountAddress(asked), 303);
    } catch (error) {
      return wordsAnswer(context, reply, asked, formAfter(error, typed));
    }
  });
}

/** Each paragraph with what the journal said beside it when it was typed. */
const wordsTyped = (typed: Typed): TypedWords[] =>
  Object.entries(typed).flatMap(([name, words = ""]) => {
    const slot = /^words\.([\w-]{1,60})$/.exec(name)?.[1];
    const replaced = typed[`seen.${slot}`];
    if (slot === undefined || replaced === undefined) return [];
    return [{ slot, words: typed[`again.${slot}`] === undefined ? words : replaced, replaced }];
  });

/** Waits for the fits, so that the words to be replaced are those the account will keep saying. */
async function wordsAnswer(
  context: PageContext,
  reply: FastifyReply,
  asked: AccountTyped,
  form: FormState,
): Promise<FastifyReply> {
  const { account } = await fitted(context, asked);
  const { writeUpWords } = context.journal;
  const slots = slotsOf(account);
  const key = accountKey(asked.buildIds);
  const earlier = new Map(slots.map(({ slot }) => [slot, writeUpWords.earlierOf(key, slot)]));
  const shown = { asked, slots, own: account.own, earlier, form };
  const page = <WordsPage frame={frameOf(context, "write-up")} shown={shown} />;
  return sendPage(reply, pageHtml(page), form.refused === null ? 200 : 422);
}
