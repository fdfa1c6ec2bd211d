/** One change as the server tells it. */
export type ChangeHeard = Readonly<{ kind: string; id: string; revision: number }>;
type Heard = (change: ChangeHeard) => void;

/** When the server refuses a stream or went away for longer, it is asked again so often. */
const againMs = 5_000;
const anything: ChangeHeard = { kind: "journal", id: "", revision: 0 };
const afterGap: ChangeHeard = { ...anything, kind: "all" };

/** The browser comes back by itself after a cut, and says what it heard last; only a refusal it takes for good. */
const openStream = (heard: Heard): (() => void) => {
  let source: EventSource;
  let again: ReturnType<typeof setTimeout>;
  const open = (): void => {
    source = new EventSource("/api/events");
    source.addEventListener("message", ({ data }) => heard(JSON.parse(data) as ChangeHeard));
    source.addEventListener("error", () => {
      if (source.readyState === EventSource.CLOSED) again = setTimeout(reopen, againMs);
    });
  };
  const reopen = (): void => {
    open();
    source.addEventListener("open", () => heard(afterGap), { once: true });
  };
  open();
  return () => {
    clearTimeout(again);
    source.close();
  };
};

/**
 * One stream a browser: the page that holds the lock listens and tells the others; when it goes, another takes over, and
 * what was missed in between may be anything. Where there are no locks (a plain address on the network has none), a page
 * listens while it is looked at.
 */
export const onChange = (heard: Heard): void => {
  if (!("locks" in navigator)) {
    listenWhileSeen(heard);
    return;
  }
  const others = new BroadcastChannel("changes");
  others.addEventListener("message", ({ data }) => heard(data as ChangeHeard));
  let isFirst = true;
  void navigator.locks
    .request("changes", { ifAvailable: true }, (lock) => {
      if (lock === null) isFirst = false;
      return lock === null ? undefined : lead();
    })
    .then(() => navigator.locks.request("changes", lead));

  function lead(): Promise<never> {
    const tell: Heard = (change) => {
      heard(change);
      others.postMessage(change);
    };
    openStream(tell);
    if (!isFirst) tell(anything);
    return new Promise(() => undefined);
  }
};

const listenWhileSeen = (heard: Heard): void => {
  let close: (() => void) | undefined;
  const look = (): void => {
    const isSeen = document.visibilityState === "visible";
    if (isSeen && !close) close = openStream(heard);
    if (!isSeen && close) {
      close();
      close = undefined;
      document.addEventListener("visibilitychange", () => heard(anything), { once: true });
    }
  };
  document.addEventListener("visibilitychange", look);
  look();
};
