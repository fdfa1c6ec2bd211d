import type { Attempt } from "../../bench/things/attempt.ts";
import { Entry } from "../../html/entry.tsx";
import { Missing } from "../../html/note.tsx";
import { AttemptsTable, loadNames } from "../kit/attemptTable.tsx";
import { paths } from "../paths.ts";
import type { Shown } from "./shown.ts";

/** A bench day is what happened within so many hours, since the server does not know the reader's midnight. */
const benchDayMs = 18 * 3_600_000;

/** What came before: this bench day with the time alone, older attempts with their day. */
export const BeforeEntries = ({ shown }: { shown: Shown }) => {
  const { attempts, now, workloads, isFirstPage } = shown;
  const ended = attempts.items.filter(({ outcome }) => outcome !== "running");
  const isToday = ({ startedAt }: Attempt) => Date.parse(now) - Date.parse(startedAt) < benchDayMs;
  const today = isFirstPage ? ended.filter(isToday) : [];
  const earlier = ended.filter((attempt) => !today.includes(attempt));
  if (ended.length === 0 && isFirstPage)
    return (
      <Entry aside={<b>Before</b>}>
        <Missing>Nothing was tried on this build yet. What you arm or log stands here.</Missing>
      </Entry>
    );
  return (
    <>
      {today.length > 0 ? (
        <Entry aside={<b>This bench day</b>}>
          <AttemptsTable
            caption="Attempts of this bench day, newest first"
            rows={today}
            chip={shown.shown.chip}
            loads={loadNames(workloads)}
            times="clock"
          />
        </Entry>
      ) : null}
      <div class="earlier">
        {earlier.length > 0 ? (
          <Entry aside={<b>Earlier</b>}>
            <AttemptsTable
              caption="Earlier attempts, newest first"
              rows={earlier}
              chip={shown.shown.chip}
              loads={loadNames(workloads)}
              times="moment"
            />
          </Entry>
        ) : null}
        <MoreLink shown={shown} />
      </div>
    </>
  );
};

/** The next older page takes the place of the link that asked for it. */
const MoreLink = ({ shown: { attempts, shown } }: { shown: Shown }) => {
  if (attempts.next === null) return null;
  const address = paths.bench({ build: shown.build.id, after: attempts.next });
  return (
    <Entry id="older">
      <a
        class="button"
        href={address}
        hx-get={address}
        hx-target="#older"
        hx-select=".earlier"
        hx-swap="outerHTML"
      >
        Show older attempts
      </a>
    </Entry>
  );
};
