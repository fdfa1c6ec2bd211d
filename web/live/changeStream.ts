/** What a page needs to know of a change as the server tells it. */
export type ChangeHeard = Readonly<{ kind: string }>;
/** `at` names the change among all others. */
type Heard = (change: ChangeHeard, at: string) => void;

/** When the server refuses a stream it is asked again so often. */
const againMs = 5_000;
const anything: ChangeHeard = { kind: "journal" };

/** The change that this page heard of last; before any, the one as of which the server wrote it. */
let last = document.querySelector<HTMLElement>("#main")?.dataset.heard ?? "";

/** The browser comes back by itself after a cut, and says what it heard last; only a refusal it takes for good. */
const openStream = (heard: Heard): (() => void) => {
  let source: EventSource;
  let again: ReturnType<typeof setTimeout>;
  const open = (): void => {
    source = new EventSource(`/api/events?after=${last}`);
    source.onmessage = ({ data, lastEventId }) => heard(JSON.parse(data) as ChangeHeard, lastEventId);
    source.onerror = () => {
      if (source.readyState !== EventSource.CLOSED) return;
      // The page finds out why when it asks for itself.
      heard(anything, last);
      again = setTimeout(open, againMs);
    };
  };
  open();
  return () => {
    clearTimeout(again);
    source.close();
  };
};

/**
 * One stream a browser: the page that holds the lock listens and tells the others; when it goes, another takes over from
 * where it was. A page that was written before the one that listens stands elsewhere: it is told so. Where there are no
 * locks (a plain address on the network has none), a page listens while it is looked at.
 */
export const onChange = (told: (change: ChangeHeard) => void): void => {
  const heard: Heard = (change, at) => {
    last = at;
    told(change);
  };
  if (!("locks" in navigator)) {
    listenWhileSeen(heard);
    return;
  }
  const others = new BroadcastChannel("changes");
  let leads = false;
  others.onmessage = ({ data }) => {
    if (typeof data !== "string") heard(...(data as Parameters<Heard>));
    else if (data !== last) {
      if (leads) others.postMessage(last);
      else told(anything);
    }
  };
  others.postMessage(last);
  void navigator.locks.request("changes", () => {
    leads = true;
    openStream((...change) => {
      heard(...change);
      others.postMessage(change);
    });
    return new Promise(() => undefined);
  });
};

const listenWhileSeen = (heard: Heard): void => {
  let close: (() => void) | undefined;
  const look = (): void => {
    close?.();
    close = document.hidden ? undefined : openStream(heard);
  };
  document.addEventListener("visibilitychange", look);
  look();
};
