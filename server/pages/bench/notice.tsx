import { outcomeInSentence } from "../../bench/things/outcome.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Entry } from "../../html/entry.tsx";
import { fieldId } from "../../html/field.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { asSetSaid } from "../kit/asSetSaid.ts";
import { settingWords } from "../kit/settingWords.tsx";
import { SlowerOffer } from "../kit/slowerOffer.tsx";
import { paths } from "../paths.ts";
import { AsSetTaps } from "./asSetTaps.tsx";
import { ReadFold, type Sent, SentFields } from "./readFold.tsx";
import type { Notice, UnplacedRefusal } from "./shown.ts";
import { posts } from "./swaps.ts";

/** What was just done, the way back from it, and the way to what was read. */
export const NoticeEntry = ({ notice, ...sent }: { notice: Notice } & Sent) => (
  <Entry>
    {"kept" in notice ? <KeptNotice notice={notice} {...sent} /> : null}
    {"deleted" in notice ? <DeletedNotice notice={notice} {...sent} /> : null}
    {"broughtBack" in notice ? (
      <Note kind="done" arrival={`Back again: ${settingWords(notice.broughtBack, sent.chip)}.`}>
        <p>
          Back again:{" "}
          <a href={paths.attempt(notice.broughtBack.id)}>{settingWords(notice.broughtBack, sent.chip)}</a>.
        </p>
      </Note>
    ) : null}
  </Entry>
);

/** A refusal whose form is no longer here, with the way to what was typed. */
export const RefusalEntry = ({ refusal: { refused, dialsAt } }: { refusal: UnplacedRefusal }) => (
  <Entry>
    <Note kind="refused">
      <p>
        {refused.message} {dialsAt ? <a href={dialsAt}>The dials as you set them</a> : null}
      </p>
    </Note>
  </Entry>
);

/** Room for what was read of the last attempt: below what is to be done now, so that it moves nothing. */
export const ReadEntry = ({ notice, ...sent }: KeptProps) => (
  <Entry>
    <Note kind="plain">
      <ReadFold
        attempt={notice.kept}
        {...sent}
        scope="read"
        title={`Add a reading of ${settingWords(notice.kept, sent.chip)}`}
      />
    </Note>
  </Entry>
);

type KeptProps = { notice: Extract<Notice, { kept: unknown }> } & Sent;

const KeptNotice = ({ notice, ...sent }: KeptProps) => {
  const { kept, wasArmed } = notice;
  const undo = wasArmed ? paths.resumption(kept.id) : paths.deletion("attempts", kept.id);
  const said = asSetSaid(kept);
  const words = `Kept: ${settingWords(kept, sent.chip)} ${outcomeInSentence[kept.outcome]}${kept.durationS ? ` after ${formatDuration(kept.durationS)}` : ""}${said ? `, ${said}` : ""}.`;
  return (
    <Note kind="done" arrival={words}>
      <p>{words}</p>
      <div class="after">
        <form method="post" action={undo}>
          <SentFields {...sent} />
          <Button letter="z" more={posts(undo, "undo")}>
            Undo
          </Button>
        </form>
        <ButtonLink href={paths.attempt(kept.id)}>Open it</ButtonLink>
        <ButtonLink href={`#${fieldId("loadTempC", "read")}`}>Add a reading</ButtonLink>
      </div>
      <AsSetTaps attempt={kept} {...sent} scope="kept" />
      <SlowerOffer attempt={kept} work={notice.work} once={sent.once} pursuit={sent.pursuit} />
    </Note>
  );
};

type DeletedProps = { notice: Extract<Notice, { deleted: unknown }> } & Sent;

const DeletedNotice = ({ notice: { deleted }, ...sent }: DeletedProps) => {
  const address = paths.restoration("attempts", deleted.id);
  const words = `Deleted: ${settingWords(deleted, sent.chip)}. It can be brought back within the day.`;
  return (
    <Note kind="done" arrival={words}>
      <p>{words}</p>
      <form method="post" action={address}>
        <SentFields {...sent} />
        <Act>
          <Button letter="z" more={posts(address, "undo")}>
            Bring it back
          </Button>
        </Act>
      </form>
    </Note>
  );
};
