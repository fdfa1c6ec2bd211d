import { Button } from "../../html/act.tsx";
import { Entry } from "../../html/entry.tsx";
import { Note } from "../../html/note.tsx";
import { Moment } from "../../html/quantity.tsx";
import type { Session } from "../../requests/sessions.ts";
import { paths } from "../paths.ts";

/** The devices let in, and the one that looks. Null where only this machine can reach the journal. */
export type DevicesShown = Readonly<{ sessions: readonly Session[]; own: string | null }> | null;

export const Devices = ({ shown }: { shown: DevicesShown }) => (
  <Entry id="devices">
    <h2>A phone or another computer at the bench</h2>
    {shown === null ? <HowToLetIn /> : <LetIn {...shown} />}
    <Note>
      What passes between them is not encrypted unless a proxy does it (README, “Encrypted”): do this on a
      network you trust, never on a public one, and do not forward the port to the internet.
    </Note>
  </Entry>
);

const HowToLetIn = () => (
  <p class="prose">
    As it starts, only this machine can reach the journal. To let others in, write a passphrase of at least
    eight characters into a file and start with <code>--passphrase-file FILE --host ADDRESS</code>, the
    address being this machine's own on the network. Other devices then open that address with the port, and
    are asked for the passphrase once.
  </p>
);

const LetIn = ({ sessions, own }: NonNullable<DevicesShown>) => (
  <>
    <p class="prose">
      Each was asked for the passphrase once, and is again after a new start. A script sends it with every
      request instead (Basic, any user name).
    </p>
    <ul class="rows">
      {sessions.map(({ id, since, seenAt, address, device }) => (
        <li key={id}>
          <form method="post" action={paths.sessionEnd()}>
            <input type="hidden" name="id" value={id} />
            <b>{id === own ? "This device" : address}</b>, let in <Moment at={since} />, last seen{" "}
            <Moment at={seenAt} /> <span class="quiet">{device}</span>{" "}
            <Button label={`End it: the session of ${id === own ? "this device" : address}`}>End it</Button>
          </form>
        </li>
      ))}
    </ul>
  </>
);
