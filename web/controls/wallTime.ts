/** Minutes east of Greenwich that the wall's clock shows at an instant. */
export type OffsetAt = (instantMs: number) => number;

const written = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)((?::\d\d(?:\.\d+)?)?)\s*(Z|UTC)?$/i;

const offsetWords = (minutes: number): string => {
  const [hours, rest] = [Math.floor(Math.abs(minutes) / 60), Math.abs(minutes) % 60];
  return `${minutes < 0 ? "-" : "+"}${String(hours).padStart(2, "0")}:${String(rest).padStart(2, "0")}`;
};

/** A time as a form writes it, in UTC, said as this wall's clock says it, with how far that is from UTC. */
export function onThisWall(text: string, offsetAt: OffsetAt): string {
  const [, day, minute, second = "", zone] = written.exec(text.trim()) ?? [];
  if (day === undefined || minute === undefined || zone === undefined) return text;
  const instantMs = Date.parse(`${day}T${minute}:00Z`);
  if (Number.isNaN(instantMs)) return text;
  const offset = offsetAt(instantMs);
  const wall = new Date(instantMs + 60_000 * offset).toISOString();
  return `${wall.slice(0, 10)} ${wall.slice(11, 16)}${second === ":00" ? "" : second} ${offsetWords(offset)}`;
}

/** A time typed without a zone is this wall's, and says so from then on; one with a zone is left as it is. */
export function zoneSaid(text: string, offsetAt: OffsetAt): string {
  const [, day, minute, second = "", zone] = written.exec(text.trim()) ?? [];
  if (day === undefined || minute === undefined || zone !== undefined) return text;
  const wallMs = Date.parse(`${day}T${minute}:00Z`);
  if (Number.isNaN(wallMs)) return text;
  const near = offsetAt(wallMs - 60_000 * offsetAt(wallMs));
  return `${day} ${minute}${second} ${offsetWords(near)}`;
}
