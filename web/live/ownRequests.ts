/** A request of the page, and once it is answered what came. */
export type Asked = Readonly<{
  sourceElement?: Element;
  target?: unknown;
  request: Readonly<{ method: string }>;
  text?: string;
  response?: Readonly<{ raw: Response }>;
}>;
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

let swapped: Asked | undefined;
let told: ((own: Asked) => void) | undefined;
document.addEventListener("htmx:after:swap", (event) => {
  const { ctx } = (event as Told).detail;
  if (!isForPage(ctx)) return;
  swapped = ctx;
  told?.(ctx);
});

/** Tells of each swap of the page, and of the last that was before anybody asked: keys are pressed from the first moment on. */
export const onSwapOfPage = (tell: (own: Asked) => void): void => {
  told = tell;
  if (swapped) tell(swapped);
};

/** What goes on by itself takes the place of nothing the reader waits for, nor of what came meanwhile. */
export const holdBack = (isAwaiting: () => boolean, held: () => void): void =>
  document.addEventListener("htmx:before:swap", (event) => {
    const { ctx } = (event as Told).detail;
    if (!goesOn(ctx) || (ctx.sourceElement?.isConnected && !isAwaiting())) return;
    event.preventDefault();
    held();
  });
