import { mostPicturesOfBuild, type Picture, type Pictured } from "../bench/pictures/picture.ts";
import { pictureBytesOf } from "../bench/pictures/pictureBytes.ts";
import { conflict } from "../bench/things/refusal.ts";
import type { At } from "./context.ts";
import { assertVersion, found, newKept, restored } from "./keeping.ts";
import { footingsOn, standOn } from "./standing.ts";

/** What a picture is attached to. */
export type PicturedThing = Readonly<{ thing: Pictured; id: string }>;

/** The build a picture of this belongs to, and the mount or attempt it is of. */
export function placeOfPicture(
  { thing, id }: PicturedThing,
  { journal }: Pick<At, "journal">,
): Pick<Picture, "buildId" | "mountId" | "attemptId"> {
  if (thing === "builds")
    return { buildId: found(journal.builds.find(id), "build").id, mountId: null, attemptId: null };
  if (thing === "mounts")
    return { buildId: found(journal.mounts.find(id), "mount").buildId, mountId: id, attemptId: null };
  return { buildId: found(journal.attempts.find(id), "attempt").buildId, mountId: null, attemptId: id };
}

export function addPicture(
  of: PicturedThing,
  sent: Readonly<{ bytes: Uint8Array; caption: string }>,
  at: At,
): Picture {
  const { pictures } = at.journal;
  const place = placeOfPicture(of, at);
  if (pictures.of("builds", place.buildId).length >= mostPicturesOfBuild)
    throw conflict(`A build may have ${mostPicturesOfBuild} pictures, and this one has; delete some first.`);
  const { bytes, type, widthPx, heightPx } = pictureBytesOf(sent.bytes);
  const kept = newKept(at);
  pictures.put(kept, { ...place, caption: sent.caption, type, widthPx, heightPx, sizeBytes: bytes.length });
  pictures.keepImage(kept.id, bytes);
  at.journal[of.thing].noteHanging(of.id, "picture", at.now);
  return found(pictures.find(kept.id), "picture");
}

export function captionPicture(id: string, caption: string, version: number | null, at: At): Picture {
  const { pictures } = at.journal;
  const current = found(pictures.find(id), "picture");
  assertVersion(current, version, { caption });
  if (caption === current.caption) return current;
  pictures.replace(id, { ...current, caption }, at.now);
  return found(pictures.find(id), "picture");
}

export function removePicture(id: string, version: number | null, { journal, now }: At): void {
  assertVersion(found(journal.pictures.find(id), "picture"), version, null);
  journal.pictures.remove(id, now);
}

export const restorePicture = (id: string, at: At): Picture =>
  restored(at.journal.pictures, id, "picture", at, (gone) => standOn(footingsOn(gone), at.journal));
