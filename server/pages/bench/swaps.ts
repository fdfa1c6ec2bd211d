/**
 * Swaps what the page holds for what comes back, wherever a redirect leads; a second press meanwhile is dropped. The
 * contents alone: a new page put before the old one, which is then taken away, throws the reader to the end of both.
 */
const swapsPage = {
  "hx-target": "#main",
  "hx-select": "#main > *",
  "hx-swap": "innerHTML",
  "hx-sync": "this:drop",
  // Somebody stands there and waits: a minute, as is usual, is too long to be told nothing.
  "hx-config": "timeout:8000",
} as const;

/** A submit button that posts the form it stands in. */
export const posts = (address: string, id?: string) => ({
  ...swapsPage,
  "hx-post": address,
  ...(id === undefined ? {} : { id }),
});

/** A piece that a page asks for by itself stays as it is where the answer is a refusal or a failure, and is asked for again. */
export const keptOnFailure = { "hx-status:4xx": "swap:none", "hx-status:5xx": "swap:none" } as const;
