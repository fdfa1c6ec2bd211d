import { say } from "../controls/said.ts";

const words =
  "This device has to give the passphrase again. Until then nothing is kept or brought up to date.";

/** The server was started anew, or somebody ended the session: says so, with the way back to this page. */
export const tellShutOut = (): void => {
  const standing = document.querySelector("#changed-elsewhere");
  if (standing?.textContent?.startsWith(words) || document.querySelector("[name=passphrase]")) return;
  standing?.remove();
  const place = document.createElement("aside");
  place.id = "changed-elsewhere";
  const link = document.createElement("a");
  link.href = location.href;
  link.textContent = "Give it";
  place.append(words, " ", link);
  document.body.append(place);
  say(words);
};
