/** A request of the swapping library's, as its events tell of it. */
export type Request = Readonly<{
  sourceElement: Element;
  method: string;
  action: string;
  body: string;
  /** Null where nobody answered. */
  answer: Response | null;
}>;

type Told = Readonly<{
  ctx?: Readonly<{
    sourceElement: Element;
    request: Readonly<{ method: string; action: string; body: unknown }>;
    response?: Readonly<{ raw: Response }>;
    text?: string;
  }>;
}>;

/** Null for what went wrong after an answer was read: that is no matter of the network. */
export const requestOf = (event: Event): Request | null => {
  const { ctx } = (event as CustomEvent<Told>).detail;
  if (ctx === undefined || ctx.text !== undefined) return null;
  const { sourceElement, request, response } = ctx;
  const isCutOff = event.type === "htmx:error";
  return {
    sourceElement,
    method: request.method,
    action: request.action,
    body: request.body instanceof URLSearchParams ? request.body.toString() : "",
    answer: isCutOff ? null : (response?.raw ?? null),
  };
};

/** Somebody on the way or in trouble did not do what was asked, or this device has to give the passphrase first. */
export const isLeftUndone = ({ status }: Response): boolean => status >= 500 || status === 401;

export const isUnanswered = ({ answer }: Request): boolean => answer === null || isLeftUndone(answer);
