/** A bench made by script, so that a journey begins where it matters. */
export async function benchAt(
  url: string,
  more: Readonly<{ chip?: object; boards?: readonly string[] }> = {},
) {
  const made = async (address: string, body: object): Promise<string> => {
    const answer = await fetch(url + address, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    if (answer.status !== 201) throw new Error(await answer.text());
    return ((await answer.json()) as { id: string }).id;
  };
  const patched = async (address: string, body: object): Promise<void> => {
    const answer = await fetch(url + address, {
      method: "PATCH",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    if (answer.status !== 200) throw new Error(await answer.text());
  };
  const chip = await made("/api/chips", {
    name: "Tern 8",
    kind: "cpu",
    tempLimitC: 95,
    voltageCeilingMv: 1350,
    stockClockMhz: 4500,
    stockVoltageMv: 1200,
    ...more.chip,
  });
  const load = await made("/api/workloads", { name: "Stacking", kind: "all-core" });
  const builds: string[] = [];
  for (const name of more.boards ?? ["Quay S"]) {
    const board = await made("/api/boards", { name });
    builds.push(await made("/api/builds", { name: `Frame, ${name}`, chipId: chip, boardId: board }));
  }
  const attemptsOf = async (build: string) =>
    // biome-ignore lint/suspicious/noExplicitAny: an answer is read by the test that asked for it
    ((await (await fetch(`${url}/api/builds/${build}/attempts?limit=500`)).json()) as { items: any[] }).items;
  return { chip, load, builds, build: builds[0] as string, made, patched, attemptsOf };
}
