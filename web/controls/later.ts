const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * A piece of the page that was not ready when the page was: it is asked for until the server has it, then takes this
 * one's place. 204 means not yet; anything else that is not a page leaves what stands.
 */
export const fillLater = async (place: HTMLElement): Promise<void> => {
  const address = place.dataset.later ?? "";
  for (let pause = 400; place.isConnected && pause < 60_000; pause *= 1.5) {
    await wait(pause);
    const answer = await fetch(address, { headers: { accept: "text/html" } }).catch(() => undefined);
    if (!answer?.ok) return;
    if (answer.status === 204) continue;
    const piece = document.createElement("template");
    piece.innerHTML = await answer.text();
    place.replaceWith(piece.content);
    return;
  }
};
