/** One promise: what holds, under which settings, and how it is tested, with the figures last measured. */
export type Promised = Readonly<{ heading: string; holds: string; under: string; tested: string }>;

export const promises: readonly Promised[] = [
  {
    heading: "What was acknowledged is kept",
    holds:
      "An attempt is on the disk before its page or script is told so, armed or ended. A crash, a kill or a power cut loses none that was acknowledged, and leaves none half written.",
    under:
      "On a disk that keeps what it says it has synced. SQLite writes a log first (WAL) and syncs it at every commit (synchronous FULL, asserted at each opening).",
    tested:
      "A run is recorded write by write and cut off at every point, with what was not synced kept, dropped or torn: 0 of 474 states lost an acknowledged attempt. The same test lost one in 28 of 123 states at a lesser level (NORMAL) and in 37 of 126 without syncing at all (OFF), so it can fail.",
  },
  {
    heading: "A damaged file is noticed",
    holds:
      "A single flipped bit in anything the journal says is found by “Look it over” and rungbook check, and the thing is named. A page that cannot be read stops the writing; the rest is shown, and rungbook export saves it and says what it could not. So does an export that meets the damage midway.",
    under:
      "Every row carries a checksum (CRC-32), and so does the description of the tables. Space that holds nothing, and what SQLite counts for itself, has none. What another program writes into the file counts as changed.",
    tested:
      "Single bits are flipped all over a small journal with something in every table, until 400 of them have changed anything that can be read: 400 of 400 were found.",
  },
  {
    heading: "A lost log is noticed",
    holds:
      "Within seconds after the last write the one file is the whole journal, and so it is once Rungbook has ended. A copy taken while it was being written, without its log, opens to read only and says from when on something may be missing.",
    under:
      "After three seconds without a write; a read that goes on longer, such as an export being sent, puts it off.",
    tested:
      "Each step from a rest to a commit to a kill is copied with and without its log and opened again.",
  },
  {
    heading: "One server, and nobody else’s file",
    holds:
      "A second Rungbook on the same journal says where the first listens and ends; so do restore and import. Another program’s database, and a journal of a newer version, are refused before anything in them is touched. A journal that may not be written is opened to read, from a copy.",
    under:
      "On file systems with locks that end with their process; network file systems often have none: keep the journal on a disk of the machine.",
    tested:
      "Folders are compared, by name, time and bytes, before and after each refusal; a second server is started beside a first.",
  },
  {
    heading: "Taken in whole or not at all, and nobody waits",
    holds:
      "A journal that is merged, a file of attempts and a log are read in a thread of their own and taken in in one commit, or not at all; reads go on meanwhile, and a write waits ten seconds at most before it is told so. A request or form that comes twice is done once and answered as before.",
    under:
      "Where scripts send an Idempotency-Key; the forms of the pages carry their own. An answer is remembered for thirty days.",
    tested:
      "The threads are killed at random moments; a heap of 64 MB takes 20,000 attempts of one build or of twenty, as JSON and as CSV, in and out. While 100,000 attempts were merged the slowest read of two runs took 88 and 82 ms, against 49 and 35 without.",
  },
  {
    heading: "Backups are whole or not there",
    holds:
      "A backup, an export and a restored journal get their names once they are complete and synced. One is made daily while Rungbook runs and before an update changes the journal, looked over before an older one is let go, and kept by the rule on the Journal page. A backup and an export never change what they copy.",
    under:
      "With room on the disk; a full one is said, and leaves nothing behind. They lie beside the journal unless --backups names another place: another disk is the better one.",
    tested:
      "Backups and updates are killed at many moments and the folder looked through; small disks are filled for a new journal, a backup and an update.",
  },
];
