/** Where everything a person can visit lies. Query values are encoded here and nowhere else. */
type Query = Readonly<Record<string, string | number | null | undefined>>;

export function withQuery(path: string, query: Query): string {
  const wanted = Object.entries(query).filter(
    ([, value]) => value !== null && value !== undefined && value !== "",
  );
  if (wanted.length === 0) return path;
  return `${path}?${new URLSearchParams(wanted.map(([name, value]) => [name, String(value)]))}`;
}

export const paths = {
  signIn: () => "/sign-in",
  /** A device is to be asked for the passphrase again. */
  sessionEnd: () => "/sessions/ending",
  bench: (query: Query = {}) => withQuery("/", query),
  /** What a setting would heat up to, as a piece of the bench. */
  heatForecast: () => "/bench/forecast",
  /** The first chip, board, load and build of a journal, in one form. */
  beginning: () => "/bench/beginning",
  /** Lets an invented machine attend a build of the demo. */
  inventedMachine: () => "/bench/invented-machine",
  /** Who attends a build, as a piece of the bench. */
  attendant: (query: Query = {}) => withQuery("/bench/attendant", query),
  /** The fit's proposal, for a bench page that did not wait for it. */
  advice: (query: Query = {}) => withQuery("/advice", query),
  builds: () => "/builds",
  /** The list of builds once every answer in it is of the record as it is. */
  buildAnswers: (query: Query = {}) => withQuery("/builds/answers", query),
  build: (id: string, query: Query = {}) => withQuery(`/builds/${id}`, query),
  settingNote: (buildId: string, query: Query = {}) => withQuery(`/builds/${buildId}/note`, query),
  settingNoteText: (buildId: string, query: Query = {}) => withQuery(`/builds/${buildId}/note.txt`, query),
  newBuild: (query: Query = {}) => withQuery("/builds/new", query),
  buildEdit: (id: string) => `/builds/${id}/edit`,
  /** What the build is after. */
  aim: (buildId: string) => `/builds/${buildId}/aim`,
  /** One field of many attempts corrected at once. */
  corrections: (buildId: string, query: Query = {}) => withQuery(`/builds/${buildId}/corrections`, query),
  correctionsUndone: (buildId: string) => `/builds/${buildId}/corrections/undoing`,
  versions: (buildId: string) => `/builds/${buildId}/versions`,
  mounts: (buildId: string) => `/builds/${buildId}/mounts`,
  mount: (id: string) => `/mounts/${id}`,
  /** The attempts behind a figure. */
  attempts: (buildId: string, query: Query = {}) => withQuery(`/builds/${buildId}/attempts`, query),
  attempt: (id: string) => `/attempts/${id}`,
  /** What gave way of an attempt when journals were merged: its values or its words, and the way to let it stand again. */
  gaveWay: (id: string, stamp: string) => `/api/attempts/${id}/gave-way/${stamp}`,
  gaveWayBack: (id: string, stamp: string) => `/attempts/${id}/gave-way/${stamp}/restoration`,
  ending: (id: string) => `/attempts/${id}/ending`,
  /** Says otherwise than its attendant how an attempt ended. */
  correction: (id: string) => `/attempts/${id}/correction`,
  /** Says that an attempt runs on after all. */
  resumption: (id: string) => `/attempts/${id}/resumption`,
  setAside: (id: string) => `/attempts/${id}/set-aside`,
  putBack: (id: string) => `/attempts/${id}/put-back`,
  deletion: (thing: string, id: string) => `/${thing}/${id}/deletion`,
  restoration: (thing: string, id: string) => `/${thing}/${id}/restoration`,
  compare: (query: Query = {}) => withQuery("/compare", query),
  fittedComparison: (query: Query = {}) => withQuery("/compare/fitted", query),
  heat: (query: Query = {}) => withQuery("/heat", query),
  heatRun: (attemptId: string, query: Query = {}) => withQuery(`/heat/${attemptId}`, query),
  /** What a long trace says, as pieces of its page, once it is read. */
  heatReading: (attemptId: string, query: Query = {}) => withQuery(`/heat/${attemptId}/reading`, query),
  /** The same of runs laid over one another. */
  heatOverlay: (query: Query = {}) => withQuery("/heat/overlay", query),
  /** One channel of a trace by windows; the chart asks it for finer points. */
  traceWindow: (attemptId: string, channel: string) =>
    withQuery(`/api/attempts/${attemptId}/trace`, { channel }),
  /** Which of what was typed and what its trace measured an attempt speaks by. */
  heatMeasured: (attemptId: string) => `/heat/${attemptId}/measured`,
  /** Logs on their way into an attempt: waiting for their columns, being read. */
  logs: (attemptId: string) => `/heat/${attemptId}/logs`,
  log: (attemptId: string, logId: string) => `/heat/${attemptId}/logs/${logId}`,
  logTable: (attemptId: string, logId: string) => `/heat/${attemptId}/logs/${logId}/table`,
  logReading: (attemptId: string, logId: string) => `/heat/${attemptId}/logs/${logId}/reading`,
  logCancellation: (attemptId: string, logId: string) => `/heat/${attemptId}/logs/${logId}/cancellation`,
  /** Which of the machine's own sensors are recorded while an attempt runs. */
  sensors: () => "/sensors",
  /** The trace of a running attempt so far, as a piece of the bench. */
  liveHeat: (attemptId: string) => `/attempts/${attemptId}/live`,
  noise: (query: Query = {}) => withQuery("/noise", query),
  noiseReading: (id: string) => `/noise/${id}`,
  power: (buildId: string, query: Query = {}) => withQuery(`/builds/${buildId}/power`, query),
  /** What every stated change did, and whether the bench has drifted. */
  changes: (query: Query = {}) => withQuery("/changes", query),
  writeUp: (query: Query = {}) => withQuery("/write-up", query),
  /** The account alone, once all of it is fitted. */
  writeUpPiece: (query: Query) => withQuery("/write-up/account", query),
  writeUpFile: (kind: "md" | "zip", query: Query) => withQuery(`/write-up.${kind}`, query),
  writeUpWords: (query: Query = {}) => withQuery("/write-up/words", query),
  pictures: (thing: string, id: string) => `/${thing}/${id}/pictures`,
  picture: (id: string) => `/pictures/${id}`,
  pictureImage: (id: string) => `/api/pictures/${id}/image`,
  parts: () => "/parts",
  newPart: (kind: PartPath) => `/parts/${kind}/new`,
  part: (kind: PartPath, id: string) => `/parts/${kind}/${id}`,
  journal: () => "/journal",
  backup: () => "/journal/backup",
  integrity: () => "/journal/integrity",
  /** The same, locked with words. */
  lockedBackup: () => "/journal/locked-backup",
  backups: () => "/journal/backups",
  /** One backup, looked over, with the way to put it in place. */
  kept: (backup: string) => `/journal/backups/${encodeURIComponent(backup)}`,
  backupRestoration: (backup: string) => `/journal/backups/${encodeURIComponent(backup)}/restoration`,
  /** Going on without a log that is gone. */
  withoutLog: () => "/journal/without-log",
  promises: () => "/journal/promises",
  merge: () => "/journal/merge",
  mergeUndoing: (id: string) => `/journal/merges/${id}/undoing`,
  /** Of many attempts edited at one moment. */
  editsUndoing: () => "/journal/corrections/undoing",
  editUndoing: (list: string, id: string) => `/journal/edits/${list}/${id}/undoing`,
  blanking: () => "/journal/blanking",
  importAttempts: (query: Query = {}) => withQuery("/journal/import", query),
  cautions: () => "/cautions",
} as const;

export type PartPath = "chips" | "boards" | "workloads" | "rules";
