import { addPicture } from "../actions/pictures.ts";
import type { Build } from "../bench/things/build.ts";
import type { Journal } from "../store/file/journal.ts";
import { demoPicture } from "./demoPicture.ts";

/** What the observatory adds to the account of its two boards: a title, a caveat and a picture. */
export function putDemoAccount(journal: Journal, builds: readonly Build[], now: string): void {
  const [large, small] = ["Open frame, Quay L", "Open frame, Quay S"].map((wanted) =>
    builds.find(({ name }) => name === wanted),
  );
  if (!large || !small) return;
  const own = { builds: `${large.id},${small.id}`, updatedAt: now };
  journal.writeUpWords.keep({
    ...own,
    slot: "title",
    words: "Which board for the stacking machines",
    replaced: `${large.name} against ${small.name}`,
  });
  journal.writeUpWords.keep({
    ...own,
    slot: "caveats",
    words:
      "The loan of the large board ends this month, and the shelf would have to be sawn for it. Both weigh more than a step of clock.",
    replaced: "",
  });
  const caption = "The tower on the open frame, fan to the left. Drawn for the demo, like everything in it.";
  addPicture({ thing: "builds", id: large.id }, { bytes: demoPicture(), caption }, { journal, now });
}
