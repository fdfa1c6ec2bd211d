import { outcomeWords } from "../../bench/things/outcome.ts";
import { Act, Button, ButtonLink } from "../../html/act.tsx";
import { Entry, Fold } from "../../html/entry.tsx";
import { Fields } from "../../html/field.tsx";
import { formatDuration } from "../../html/format.ts";
import { Note } from "../../html/note.tsx";
import { fieldNamed } from "../attemptForm/attemptFields.ts";
import { AttemptFieldInput } from "../attemptForm/attemptFieldset.tsx";
import { type Pursuit, PursuitFields } from "../kit/pursuit.tsx";
import { settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import type { Notice } from "./shown.ts";
import { posts } from "./swaps.ts";

/** What was just done, the way back from it, and room for what was read. */
export const NoticeEntry = ({ notice, pursuit }: { notice: Notice; pursuit: Pursuit }) => (
  <Entry>
    {"kept" in notice ? <KeptNotice notice={notice} pursuit={pursuit} /> : null}
    {"deleted" in notice ? <DeletedNotice notice={notice} pursuit={pursuit} /> : null}
    {"broughtBack" in notice ? (
      <Note kind="done">
        <p>
          Back again: <a href={paths.attempt(notice.broughtBack.id)}>{settingWords(notice.broughtBack)}</a>.
        </p>
      </Note>
    ) : null}
  </Entry>
);

type KeptProps = { notice: Extract<Notice, { kept: unknown }>; pursuit: Pursuit };

const KeptNotice = ({ notice, pursuit }: KeptProps) => {
  const { kept, wasArmed } = notice;
  const undo = wasArmed ? paths.resumption(kept.id) : paths.deletion("attempts", kept.id);
  return (
    <Note kind="done">
      <p>
        Kept: {settingWords(kept)} {outcomeWords[kept.outcome]}
        {kept.durationS ? ` after ${formatDuration(kept.durationS)}` : ""}.
      </p>
      <form method="post" action={undo}>
        <PursuitFields pursuit={pursuit} />
        <Act>
          <Button letter="z" more={posts(undo, "undo")}>
            {wasArmed ? "Undo: it is still running" : "Undo"}
          </Button>
          <ButtonLink href={paths.attempt(kept.id)}>Open it</ButtonLink>
        </Act>
      </form>
      <ReadFold notice={notice} pursuit={pursuit} />
    </Note>
  );
};

const readNames = ["ambientC", "loadTempC", "peakTempC", "loadVoltageMv", "powerW", "note"];

const ReadFold = ({ notice: { kept, read }, pursuit }: KeptProps) => (
  <Fold title="Add what was read" keep="read">
    <form method="post" action={paths.attempt(kept.id)}>
      <input type="hidden" name="back" value="bench" />
      <PursuitFields pursuit={pursuit} />
      <Fields>
        {readNames.flatMap((name) => {
          const field = fieldNamed(name);
          return field ? [<AttemptFieldInput key={name} field={field} form={read} scope="read" />] : [];
        })}
      </Fields>
      <Act>
        <Button more={posts(paths.attempt(kept.id), "read-kept")}>Keep what was read</Button>
      </Act>
    </form>
  </Fold>
);

type DeletedProps = { notice: Extract<Notice, { deleted: unknown }>; pursuit: Pursuit };

const DeletedNotice = ({ notice: { deleted }, pursuit }: DeletedProps) => {
  const address = paths.restoration("attempts", deleted.id);
  return (
    <Note kind="done">
      <p>Deleted: {settingWords(deleted)}. It can be brought back within the day.</p>
      <form method="post" action={address}>
        <PursuitFields pursuit={pursuit} />
        <Act>
          <Button letter="z" more={posts(address, "undo")}>
            Bring it back
          </Button>
        </Act>
      </form>
    </Note>
  );
};
