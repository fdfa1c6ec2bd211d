type Asked = Readonly<{ sourceElement?: Element; target?: unknown }>;
type Told = CustomEvent<{ ctx: Asked }>;

const asked = new Set<Asked>();

/** A page that goes on by itself, asked for by nobody. */
const goesOn = ({ sourceElement }: Asked): boolean => sourceElement?.matches("[data-goes-on]") === true;

const isForPage = ({ target }: Asked): boolean => target instanceof HTMLElement && target.id === "main";

/**
 * From the request of a reader until its answer stands on the page and was arrived at: the library's own class ends
 * sooner, and a script's requests never have it.
 */
export const hasOwnRequest = (): boolean => [...asked].some((one) => isForPage(one) && !goesOn(one));

document.addEventListener("htmx:before:request", (event) => asked.add((event as Told).detail.ctx));
document.addEventListener("htmx:finally:request", (event) => asked.delete((event as Told).detail.ctx));

/** What goes on by itself takes the place of nothing the reader waits for, nor of what came meanwhile. */
export const holdBack = (isAwaiting: () => boolean, held: () => void): void =>
  document.addEventListener("htmx:before:swap", (event) => {
    const { ctx } = (event as Told).detail;
    if (!goesOn(ctx) || (ctx.sourceElement?.isConnected && !isAwaiting())) return;
    event.preventDefault();
    held();
  });
