import { describe, expect, it } from "vitest";
import { plainText } from "../support/answersSaid.ts";
import { testServer } from "../support/bench.ts";
import { postForm } from "../support/forms.ts";

/** What stands beside the heading, up to it. */
const besideHeading = (html: string): string => plainText(html.split("<main")[1]?.split("<h1")[0] ?? "");

/** A journal as its first form leaves it, with a build that differs from the first one by its cooler. */
async function begun() {
  const server = await testServer();
  const first = {
    ...{ chipName: "Tern 8", kind: "cpu", setBy: "clock", tempLimitC: "95", boardName: "Quay" },
    ...{ workloadName: "Stacking", workloadKind: "all-core" },
  };
  expect((await postForm(server, "/bench/beginning", first)).status).toBe(303);
  const [build] = (await server.send("GET", "/api/builds")).body.items;
  expect(build.name).toBe("Tern 8 on Quay");
  const shown = async (path: string) => (await server.send("GET", path)).body as string;
  return { server, build, shown };
}

describe("a build that is called by its chip and board", () => {
  it("is not told of twice beside the bench, its own page and its power", async () => {
    const { build, shown } = await begun();
    for (const path of [`/?build=${build.id}`, `/builds/${build.id}`, `/builds/${build.id}/power`])
      expect(besideHeading(await shown(path)).split("Tern 8 on Quay"), path).toHaveLength(2);
  });

  it("is named once by a build that was changed from it, in the list of both", async () => {
    const { server, build, shown } = await begun();
    const { id: _, name: _name, ...parts } = build;
    const changed = { chipId: parts.chipId, boardId: parts.boardId, basedOn: build.id };
    await server.send("POST", "/api/builds", { ...changed, name: "Low", change: "a lower cooler" });
    const list = plainText(await shown("/builds"));
    expect(list).toContain("Tern 8 on Quay: a lower cooler");
    expect(list).not.toContain("Tern 8 on Quay; Tern 8 on Quay");
  });

  it("is what Compare offers to change, while there is no other", async () => {
    const { build, shown } = await begun();
    const page = await shown("/compare");
    expect(page).toContain(`/builds/new?basedOn=${build.id}`);
    expect(page).toContain("Write down a changed build");
  });
});
