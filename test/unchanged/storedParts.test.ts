import { expect, it } from "vitest";
import * as builds from "../../server/actions/builds.ts";
import { chooseSensors } from "../../server/actions/captureSensors.ts";
import { addNoise, editNoise, removeNoise, restoreNoise } from "../../server/actions/noise.ts";
import { chipActions, workloadActions } from "../../server/actions/parts.ts";
import {
  addPicture,
  captionPicture,
  placeOfPicture,
  removePicture,
  restorePicture,
} from "../../server/actions/pictures.ts";
import { addVersion, editVersion, removeVersion, restoreVersion } from "../../server/actions/versions.ts";
import { mostPicturesOfBuild } from "../../server/bench/pictures/picture.ts";
import { seededRandom } from "../../server/numerics/seededRandom.ts";
import { madePng } from "../support/madePictures.ts";
import { oneOf } from "./chosen.ts";
import { type Held, heldJournal, heldNow, later, writingOn } from "./heldJournal.ts";
import { telling } from "./telling.ts";

it("parts, builds, mounts, versions, noise, pictures and sensors are kept and listed as before", async () => {
  const { tell, told } = telling();
  const random = seededRandom(93);
  const held = heldJournal(93);
  const { journal, buildId, otherId, attemptId, chipId, loadId } = held;
  const write = writingOn(held);
  const tried = (asked: string, work: (at: Held["at"]) => unknown): void => tell(asked, () => write(work));
  const image = { bytes: madePng({ noted: true, orientation: 6 }), caption: "the mount" };
  const mounts = [
    "2031-05-01T00:00:00.000Z",
    "2031-05-04T13:00:00.000Z",
    "2031-05-04T13:42:00.000Z",
    "2031-05-04T13:42:00.001Z",
  ].map(
    (mountedAt) =>
      write((at) => builds.addMount(buildId, { mountedAt, paste: "new" }, { ...at, now: later(9000) })).id,
  );
  const readings = [41, 38, 44].map(
    (dba, n) =>
      write((at) =>
        addNoise(
          oneOf(random, [buildId, otherId]),
          {
            levelsDba: [dba, dba + 1],
            distanceM: 0.5,
            clockMhz: 4100.5,
            voltageMv: null,
            workloadId: n ? loadId : null,
          },
          at,
        ),
      ).id,
  );
  const versions = (["firmware", "driver", "firmware"] as const).map(
    (of, n) =>
      write((at) => addVersion(buildId, { of, name: `${n}.2`, since: n ? later(-90 * n) : null }, at)).id,
  );
  const pictures = (
    [
      ["builds", buildId],
      ["mounts", mounts[0]!],
      ["attempts", attemptId],
      ["builds", otherId],
    ] as const
  ).map(([thing, id]) => write((at) => addPicture({ thing, id }, image, at)).id);
  const mountOf = () => [
    journal.attempts.placeOf(attemptId)?.mountId,
    ...mounts.map((id) => journal.attempts.countOnMount(buildId, id)),
  ];
  const lists = [
    "chips",
    "boards",
    "workloads",
    "builds",
    "mounts",
    "versions",
    "noise",
    "pictures",
  ] as const;
  const ask = (): void => {
    for (const list of lists) {
      const store = journal[list];
      tell(`  ${list}`, () => [
        store.count(),
        store.removedIds(),
        [...store.told()].sort(),
        store.removed().map(({ deletedAt }) => deletedAt),
      ]);
      tell("    removed before", () => [
        ...[store.removedBefore(later(20)).length, store.removedBefore(later(1e6)).length],
        store.namedThoughRemoved(),
      ]);
    }
    tell("  edited since", () => journal.chips.editedSince(later(24), 3));
    for (const list of ["mounts", "versions", "noise"] as const)
      for (const after of [null, journal[list].pageOf(buildId, { limit: 1, after: null }).next])
        tell(`  page of ${list}`, () => {
          const { items, next } = journal[list].pageOf(buildId, { limit: 2, after });
          return [items.map(({ version, id }) => `${version} ${id}`).join(), next === null];
        });
    for (const list of ["chips", "workloads", "builds"] as const)
      for (const after of [null, journal[list].page({ limit: 1, after: null }).next])
        tell(`  page of ${list}`, () => {
          const { items, next } = journal[list].page({ limit: 1, after });
          return [items.map(({ name }) => name).join(), next === null];
        });
    tell("  mounted", () => [
      mountOf(),
      journal.mounts.countOf(buildId),
      journal.mounts.removedOf(buildId),
      mounts.map((id) => journal.mounts.isStillUsed(id)),
    ]);
    tell("  would hold", () => mounts.map((id) => journal.mounts.wouldHold(id, attemptId)));
    tell("  pictures of each", () =>
      (["builds", "mounts", "attempts"] as const).map((thing) =>
        [buildId, mounts[0]!, attemptId].map(
          (id) => `${journal.pictures.of(thing, id).length} ${journal.pictures.idsOf(thing, id).length}`,
        ),
      ),
    );
    tell("  builds using", () =>
      [{ chipId }, { boardId: held.boardId }, { basedOn: buildId }].map((thing) =>
        journal.builds.countUsing(thing),
      ),
    );
    tell("  noise under", () => [
      journal.noise.countUnder(loadId),
      journal.noise.countOf(buildId),
      journal.builds.holdsAny(buildId),
      journal.builds.ofChip(chipId).length,
    ]);
    tell("  states", () => [
      journal.builds.statesOf(buildId).size,
      journal.versions.allOf(buildId).map(({ name }) => name),
    ]);
  };
  ask();
  for (const at of [-1e6, -60, 0, 1]) tell(`mount ${at} s on`, () => journal.mounts.at(buildId, later(at)));
  tell("mount of no build", () => journal.mounts.at("none", heldNow));
  tried(
    "a mount moved",
    (at) => builds.editMount(mounts[1]!, { mountedAt: later(60) }, null, { ...at, now: later(9000) }).version,
  );
  tried("a mount removed", (at) => builds.removeMount(mounts[2]!, null, at));
  tried("another", (at) => builds.removeMount(mounts[0]!, null, at));
  tried("a picture captioned", (at) => captionPicture(pictures[0]!, "the other side", 1, at));
  tried("the same again", (at) => captionPicture(pictures[0]!, "the other side", 2, at));
  tried("of an earlier version", (at) => captionPicture(pictures[0]!, "no", 1, at));
  tried("a picture removed", (at) => removePicture(pictures[1]!, null, at));
  tried("of an earlier version", (at) => removePicture(pictures[0]!, 1, at));
  tried("a reading edited", (at) => editNoise(readings[0]!, { note: "near" }, null, at).version);
  tried("the same again", (at) => editNoise(readings[0]!, { note: "near" }, null, at).version);
  tried("a reading removed", (at) => removeNoise(readings[1]!, null, at));
  tried("a version edited", (at) => editVersion(versions[0]!, { name: "0.3" }, null, at).name);
  tried("a version removed", (at) => removeVersion(versions[2]!, null, at));
  tried(
    "a build edited",
    (at) => builds.editBuild(buildId, { cooler: "tall", note: "now" }, null, at).version,
  );
  tried("based on it", (at) => builds.editBuild(otherId, { basedOn: buildId }, null, at).basedOn);
  tried("a chip removed", (at) => chipActions.remove(chipId, null, at));
  tried("a load removed", (at) => workloadActions.remove(held.lightId, null, at));
  tried("a chip edited", (at) => chipActions.edit(chipId, { note: "odd" }, null, at).version);
  ask();
  tried("a picture restored", (at) => restorePicture(pictures[1]!, at).caption);
  tried("a mount restored", (at) => builds.restoreMount(mounts[2]!, at).version);
  tried("a reading restored", (at) => restoreNoise(readings[1]!, at).version);
  tried("a version restored", (at) => restoreVersion(versions[2]!, at).version);
  tried("a build removed", (at) => builds.removeBuild(otherId, null, at));
  tried("let go of", () => [
    journal.workloads.forgetWhole(held.lightId),
    journal.workloads.forgetWhole(loadId),
    journal.chips.forgetWhole("none"),
  ]);
  ask();
  for (const thing of ["builds", "mounts", "attempts"] as const)
    for (const id of [buildId, mounts[1]!, attemptId])
      tell(`place of a picture of ${thing}`, () => placeOfPicture({ thing, id }, held));
  tell("images", () => pictures.map((id) => journal.pictures.imageOf(id)?.length));
  tried("images dropped", () => journal.pictures.dropImage(pictures[0]!));
  tell("images", () => pictures.map((id) => journal.pictures.imageOf(id)?.length));
  const standing = journal.pictures.of("builds", buildId).length;
  tried("as many as may be", (at) => {
    for (let n = standing; n < mostPicturesOfBuild; n += 1)
      journal.pictures.put(
        { id: journal.newId(at.now), createdAt: at.now, updatedAt: at.now, version: 1 },
        { ...journal.pictures.find(pictures[0]!)! },
      );
    return [journal.pictures.of("builds", buildId).length, journal.pictures.all().length];
  });
  tried("one more", (at) => addPicture({ thing: "builds", id: buildId }, image, at));
  const sensors = [
    { sensor: "a", channel: "temperature" },
    { sensor: "b", channel: "power" },
  ];
  for (const recorded of [true, false]) {
    tried("sensors", (at) => chooseSensors(sensors, recorded, at));
    tell("  chosen", () => [journal.captureSensors.chosen(), journal.captureSensors.recorded()]);
  }
  tried("one channel twice", (at) =>
    chooseSensors([sensors[0]!, { sensor: "c", channel: "temperature" }], true, at),
  );
  tell("faults", () => journal.faults());
  await expect(told()).toMatchFileSnapshot("answers/storedParts.txt");
});
