import "preact";

type Swap =
  | "innerHTML"
  | "outerHTML"
  | "innerMorph"
  | "outerMorph"
  | "textContent"
  | "beforebegin"
  | "afterbegin"
  | "beforeend"
  | "afterend"
  | "delete"
  | "none";

/** The hx- names in use; a test holds the pages to this list. */
interface Swaps {
  "hx-get"?: string | undefined;
  "hx-post"?: string | undefined;
  "hx-target"?: string | undefined;
  "hx-select"?: string | undefined;
  "hx-select-oob"?: string | undefined;
  "hx-trigger"?: string | undefined;
  "hx-swap"?: Swap | `${Swap} ${string}` | undefined;
  "hx-push-url"?: "true" | "false" | undefined;
  "hx-replace-url"?: "true" | "false" | undefined;
  "hx-boost"?: "true" | "false" | undefined;
  "hx-config"?: string | undefined;
  "hx-sync"?: string | undefined;
  "hx-disable"?: string | undefined;
  "hx-encoding"?: "multipart/form-data" | undefined;
  "hx-indicator"?: string | undefined;
  "hx-preserve"?: "true" | undefined;
  "hx-swap-oob"?: string | undefined;
}

declare module "preact" {
  interface HTMLAttributes<RefType extends EventTarget = EventTarget> extends Swaps {}
  namespace JSX {
    interface HTMLAttributes<RefType extends EventTarget = EventTarget> extends Swaps {}
  }
}
