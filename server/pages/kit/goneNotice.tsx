import { Act, Button } from "../../html/act.tsx";
import { Note } from "../../html/note.tsx";
import { paths } from "../paths.ts";

/** A thing that was just deleted and can still come back. */
export type Gone = Readonly<{ thing: string; id: string; name: string }>;

export const GoneNotice = ({ gone }: { gone: Gone | null }) =>
  gone === null ? null : (
    <Note kind="done">
      <p>“{gone.name}” is deleted. It can come back within the day.</p>
      <form method="post" action={paths.restoration(gone.thing, gone.id)}>
        <Act>
          <Button letter="z">Bring it back</Button>
        </Act>
      </form>
    </Note>
  );
