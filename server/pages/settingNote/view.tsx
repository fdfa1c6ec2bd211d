import { Fragment } from "preact";
import type { SettingNote } from "../../answers/settingNote.ts";
import { Act, ButtonLink } from "../../html/act.tsx";
import { Document, pageHtml } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import type { PageContext } from "../kit/context.ts";
import { SettingInWords, settingWords } from "../kit/settingWords.tsx";
import { paths } from "../paths.ts";
import { frameOf } from "../siteMap.ts";

export const settingNotePage = (context: PageContext, buildId: string, note: SettingNote): string => {
  const { setting, units } = note;
  const { clockMhz, voltageMv } = setting;
  return pageHtml(
    <Document title={settingWords(setting, units)} frame={frameOf(context, "builds")}>
      <Entry aside={note.title}>
        <Answer heading={<SettingInWords {...setting} units={units} />}>
          What to enter again, where firmware or driver has forgotten it.
        </Answer>
        <dl class="facts">
          {note.lines.map(({ name, value }) => (
            <Fragment key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </Fragment>
          ))}
        </dl>
        <p class="prose">{note.from} Rungbook sets nothing itself.</p>
        <Act>
          <ButtonLink href={paths.build(buildId)}>Back to the build</ButtonLink>
          <ButtonLink href={paths.settingNoteText(buildId, { clockMhz, voltageMv })}>As text</ButtonLink>
        </Act>
      </Entry>
    </Document>,
  );
};
