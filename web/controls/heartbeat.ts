import { formatElapsed } from "../../server/html/format.ts";
import { isMachine } from "./machine.ts";

const every = 5;

type Beat = "kept" | "ended" | "shut out" | "lost";

const sent = async (address: string, elapsedS: number): Promise<Beat> => {
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ elapsedS, from: isMachine() ? "machine" : "watcher" }),
      signal: AbortSignal.timeout(4000),
    });
    if (answer.ok) return "kept";
    if (answer.status === 401) {
      (await import("../live/shutOut.ts")).tellShutOut();
      return "shut out";
    }
    return answer.status === 404 || answer.status === 409 ? "ended" : "lost";
  } catch {
    return "lost";
  }
};

const sentence = (beat: Beat, keptS: number | undefined): string => {
  if (beat === "kept") return keptS === undefined || keptS < 1 ? "" : `Saved up to ${formatElapsed(keptS)}.`;
  if (beat === "ended") return "This run was ended elsewhere. Load the page again to see how.";
  const until = keptS === undefined ? "nothing is saved yet" : `saved only up to ${formatElapsed(keptS)}`;
  if (beat === "shut out") return `Not let in until the passphrase is given again: ${until}.`;
  return `The server does not answer: ${until}.`;
};

/** Says every five seconds how far the run got, and tells the page plainly when nobody listens. */
export const heartbeat = (address: string, words: HTMLElement | null) => {
  let lastTried = -Infinity;
  let kept: number | undefined;
  let over = false;
  let waiting = false;
  return async (elapsedS: number): Promise<void> => {
    if (over || waiting || elapsedS - lastTried < every) return;
    lastTried = elapsedS;
    waiting = true;
    const beat = await sent(address, Math.floor(elapsedS));
    waiting = false;
    if (beat === "kept") kept = elapsedS;
    over = beat === "ended";
    if (!words) return;
    words.textContent = sentence(beat, kept);
    words.classList.toggle("lost", beat !== "kept");
    // Only bad news interrupts those who hear the page.
    if (beat === "kept") words.removeAttribute("role");
    else words.setAttribute("role", "alert");
  };
};
