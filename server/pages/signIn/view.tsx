import { Act, Button } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { TextField } from "../../html/field.tsx";
import { Note } from "../../html/note.tsx";
import type { PageContext } from "../kit/context.ts";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";

type Props = Readonly<{
  to: string;
  refused?: string | undefined;
  /** Whether something was sent that could not be taken. */
  isLost?: boolean;
}>;

/** Asks a device for the passphrase, and leads back to where it was going. */
export const signInPage = (context: PageContext, { to, refused, isLost = false }: Props): string =>
  pageHtml(
    <Document title="Passphrase" frame={frameOf(context, null)} swaps={false}>
      <Entry>
        <Answer heading="This journal asks for its passphrase">
          It stands in the file named by <code>--passphrase-file</code> on the machine that runs Rungbook.
          Forgotten? Write a new one there and start it again; every device is then asked anew.
        </Answer>
        {isLost ? (
          <Note kind="refused">
            <p>Nothing was kept: this device has to give the passphrase first.</p>
          </Note>
        ) : null}
        <form method="post" action={paths.signIn()}>
          <input type="hidden" name="to" value={to} />
          <TextField
            name="passphrase"
            label="Passphrase"
            type="password"
            autocomplete="current-password"
            required
            error={refused}
          />
          <Act>
            <Button>Let this device in</Button>
          </Act>
        </form>
      </Entry>
    </Document>,
  );
