/** Why a page refuses, in its own words: beside a form, or as all the page says. */
export const sentenceOn = (html: string): string => {
  const page = new DOMParser().parseFromString(html, "text/html");
  const said =
    page.querySelector("[role='alert'] p") ?? page.querySelector("main .lead") ?? page.querySelector("h1");
  return said?.textContent?.replace(/\s+/g, " ").trim() ?? "";
};
