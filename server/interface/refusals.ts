import { Refusal, type RefusalCode } from "../bench/things/refusal.ts";

const statuses: Readonly<Record<RefusalCode, number>> = {
  invalid: 400,
  missing: 404,
  conflict: 409,
  "too-large": 413,
  forbidden: 403,
  misdirected: 421,
  full: 507,
  stopped: 503,
  internal: 500,
};

export const statusOf = (refusal: Refusal): number => statuses[refusal.code];

/** What a script is told. A misdirected request is forbidden too; only its status says more. */
export const errorAnswer = (refusal: Refusal) => ({
  error: {
    code: refusal.code === "misdirected" ? "forbidden" : refusal.code,
    message: refusal.message,
    fields: refusal.fields,
    ...refusal.extra,
  },
});

/** How the reader of forms in parts says that one is cut short, or that its boundary is none. */
const unreadableForm =
  /^(Unexpected end of|Multipart:|Malformed|Part terminated early|File terminated early|The needle cannot)/;

type ServerFault = Error & { statusCode?: number; code?: string };

/** The refusal a thrown thing amounts to; null where it is a fault of ours. */
export function refusalFrom(error: unknown): Refusal | null {
  if (error instanceof Refusal) return error;
  const fault = error as ServerFault;
  switch (fault.code) {
    case "FST_ERR_CTP_BODY_TOO_LARGE":
    case "FST_REQ_FILE_TOO_LARGE":
      return new Refusal("too-large", "This is larger than is taken in one piece.");
    case "FST_ERR_CTP_INVALID_MEDIA_TYPE":
      return new Refusal("invalid", "The body is not in a form that is understood here.");
    case "FST_ERR_BAD_URL":
    case "FST_ERR_MAX_PARAM_LENGTH":
      return new Refusal("missing", "There is nothing at this address.");
    case "ECONNRESET":
      return new Refusal("invalid", "The connection ended before all of the request had come.");
    default:
  }
  if (unreadableForm.test(fault.message ?? ""))
    return new Refusal("invalid", "The form was cut short, or is none that can be read. Send it again.");
  const clients = fault.statusCode !== undefined && fault.statusCode >= 400 && fault.statusCode < 500;
  if (clients) return new Refusal("invalid", "The request could not be read. Is the body well-formed?");
  return null;
}

export const internalRefusal = new Refusal(
  "internal",
  "Something went wrong here. Nothing was changed; the fault has been logged.",
);
