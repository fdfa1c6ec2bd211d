import { createHash } from "node:crypto";
import { inOneOrder } from "../../bench/document/inOneOrder.ts";
import type { DocumentSection, DocumentThing } from "../../bench/document/journalDocument.ts";
import { deletedSection, documentSections } from "../../bench/document/journalDocument.ts";
import { databaseIn } from "./driver.ts";

/** A document that has been read whole, laid out on the disk, so that it may be larger than memory. */
export type StagedDocument = Readonly<{
  /** `from` is the section it came in, where that is another. */
  keep(section: DocumentSection, thing: unknown, from?: DocumentSection | typeof deletedSection): void;
  /** The things of a section in the order they came. */
  things<Section extends DocumentSection>(section: Section): Iterable<DocumentThing<Section>>;
  ids(section: DocumentSection): Set<string>;
  /** The packed values of one attempt's trace. */
  chunksOf(attemptId: string): Iterable<DocumentThing<"traceChunks">>;
  /** Tells this document from another, in whatever order its sections and fields came. */
  print(): string;
  close(): void;
}>;

type Named = Readonly<{ id?: string; attemptId?: string }>;

/** Whether something in it has names of its own, such as knobs or stamps, which reading leaves in the order they were sent. */
const hasNames = (text: string): boolean => text.indexOf("{", 1) > 0;

/** SQLite takes a file without a name away again itself, also after a crash. */
export function stagedDocument(): StagedDocument {
  const client = databaseIn("");
  client.exec(`
    CREATE TABLE staged (place INTEGER PRIMARY KEY, section TEXT NOT NULL, id TEXT, of TEXT, thing TEXT NOT NULL);
    CREATE INDEX staged_by_section ON staged (section);
    CREATE INDEX staged_of ON staged (of) WHERE section = 'traceChunks';
  `);
  client.exec("BEGIN"); // never to be committed: nothing but this connection will ever read it
  const insert = client.prepare("INSERT INTO staged (section, id, of, thing) VALUES (?, ?, ?, ?)");
  const prints = new Map(
    [...documentSections, deletedSection].map((section) => [section, createHash("sha256")]),
  );
  return {
    keep(section, thing, from = section): void {
      const text = JSON.stringify(thing);
      const { id = null, attemptId = null } = thing as Named;
      insert.run(section, id, attemptId, text);
      prints.get(from)?.update(hasNames(text) ? inOneOrder(thing) : text);
    },
    *things<Section extends DocumentSection>(section: Section) {
      const all = client.prepare("SELECT thing FROM staged WHERE section = ? ORDER BY place").pluck();
      for (const text of all.iterate(section)) yield JSON.parse(text as string) as DocumentThing<Section>;
    },
    ids(section) {
      const all = client.prepare("SELECT id FROM staged WHERE section = ?").pluck();
      return new Set(all.all(section) as string[]);
    },
    *chunksOf(attemptId: string) {
      const all = client
        .prepare("SELECT thing FROM staged WHERE section = 'traceChunks' AND of = ? ORDER BY place")
        .pluck();
      for (const text of all.iterate(attemptId))
        yield JSON.parse(text as string) as DocumentThing<"traceChunks">;
    },
    print: () => [...prints.values()].map((print) => print.copy().digest("base64url")).join(" "),
    close: () => client.close(),
  };
}
