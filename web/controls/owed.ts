import { remember, remembered } from "./remembered.ts";

/** A form that was sent while nobody answered: the page owes it to the journal until it is kept or thrown away. */
export type Owed = Readonly<{
  /** Where it is sent to; one thing owes one form, the last one sent. */
  address: string;
  body: string;
  /** What it says, for a person. */
  words: string;
  /** Why the server would not have it; null while it waits. */
  refused: string | null;
}>;

const key = "owed";

const storedList = (): readonly Owed[] => JSON.parse(remembered(key) ?? "[]") as readonly Owed[];

/** What a browser that keeps nothing holds until the page is left. */
let unstorable: readonly Owed[] | undefined;

export const owedList = (): readonly Owed[] => unstorable ?? storedList();

/** False where the browser would not keep it: then it lasts as long as the page. */
export const isStored = (): boolean => unstorable === undefined;

const keepList = (list: readonly Owed[]): void => {
  const text = JSON.stringify(list);
  remember(key, list.length === 0 ? null : text);
  unstorable = list.length === 0 || remembered(key) === text ? undefined : list;
};

export const owe = (one: Owed): void =>
  keepList([...owedList().filter(({ address }) => address !== one.address), one]);

/** Only the form that was settled: another may have been sent to the same address meanwhile. */
export const settleOwed = (one: Owed): void =>
  keepList(owedList().filter(({ address, body }) => address !== one.address || body !== one.body));

export const whenOwedElsewhere = (changed: () => void): void =>
  addEventListener("storage", (event) => {
    if (event.key === key || event.key === null) changed();
  });
