/** Swaps the page's own part for the one that comes back, wherever a redirect leads; a second press meanwhile is dropped. */
export const swapsPage = {
  "hx-target": "#main",
  "hx-select": "#main",
  "hx-swap": "outerHTML",
  "hx-sync": "this:drop",
} as const;

/** A submit button that posts the form it stands in. */
export const posts = (address: string, id?: string) => ({
  ...swapsPage,
  "hx-post": address,
  ...(id === undefined ? {} : { id }),
});
