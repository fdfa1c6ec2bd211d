/** The chip on the board a build is made of; null where the build is called by just these, which is not said twice. */
export function standsOn(buildName: string, chipName: string, boardName: string | null): string | null {
  const parts = boardName === null ? chipName : `${chipName} on ${boardName}`;
  return parts === buildName ? null : parts;
}
