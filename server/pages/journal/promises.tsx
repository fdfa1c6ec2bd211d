import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { promises } from "./promises.ts";

/** What holds for the record, under which settings, and how that is tested. */
export const PromisesPage = ({ frame }: { frame: Frame }) => (
  <Document title="What is promised" frame={frame}>
    <Entry>
      <Answer heading="What is promised of the journal">
        Each of these is tested, and the figures are from the last time it was measured. Nothing here replaces
        a copy on another disk: a disk that dies takes the journal and the backups beside it along.
      </Answer>
    </Entry>
    {promises.map(({ heading, holds, under, tested }) => (
      <Entry key={heading}>
        <h2>{heading}</h2>
        <p class="prose">{holds}</p>
        <dl class="facts">
          <dt>Where</dt>
          <dd>{under}</dd>
          <dt>Tested</dt>
          <dd>{tested}</dd>
        </dl>
      </Entry>
    ))}
  </Document>
);
