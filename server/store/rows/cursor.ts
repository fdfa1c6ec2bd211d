import { invalid } from "../../bench/things/refusal.ts";

/** Where a page of a list left off: the ordering value and the id of its last row, opaque to the reader. */
export type Position<Order extends string | number> = Readonly<{ order: Order; id: string }>;

export const cursorOf = <Order extends string | number>(last: Position<Order>): string =>
  Buffer.from(JSON.stringify([last.order, last.id])).toString("base64url");

const unknownCursor = () =>
  invalid("This list position is not known. Begin again without it.", {
    after: "This list position is not known. Begin again without it.",
  });

export function positionOf<Order extends string | number>(cursor: string, like: Order): Position<Order> {
  let found: unknown;
  try {
    found = JSON.parse(Buffer.from(cursor, "base64url").toString());
  } catch {
    throw unknownCursor();
  }
  if (!Array.isArray(found) || found.length !== 2) throw unknownCursor();
  const [order, id] = found as [unknown, unknown];
  if (typeof order !== typeof like || typeof id !== "string") throw unknownCursor();
  return { order: order as Order, id };
}
