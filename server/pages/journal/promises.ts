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
      "A run is recorded write by write and cut off at every point, with what was not synced kept, dropped or torn: 0 of 1,736 states lost an acknowledged attempt. The same test with the sync left out lost one in 205 of 321, so it can fail.",
  },
  {
    heading: "A damaged file is noticed",
    holds:
      "A single flipped bit in what an attempt or a sensor trace says is found by “Look it over” and rungbook check, and the attempt or the channel is named. A page that cannot be read stops the writing; the rest is shown, and rungbook export saves it and says what it could not.",
    under:
      "Attempts and traces carry checksums (CRC-32); of builds, parts, notes and pictures only what breaks the file’s own structure is noticed.",
    tested:
      "400 bits flipped in the pages of attempts and traces at each run of the tests: every one that changed what they say was found.",
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
    heading: "Backups are whole or not there",
    holds:
      "A backup, an export and a restored journal get their names once they are complete and synced. One is made daily while Rungbook runs and before an update changes the journal, looked over before an older one is let go, and kept by the rule on the Journal page. A backup and an export never change what they copy.",
    under:
      "With room on the disk; a full one is said, and leaves nothing behind. They lie beside the journal unless --backups names another place: another disk is the better one.",
    tested:
      "Backups and updates are killed at many moments and the folder looked through; small disks are filled for a new journal, a backup and an update.",
  },
];
