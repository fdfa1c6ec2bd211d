import { type Picture, type Pictured, pictureLimitBytes } from "../../bench/pictures/picture.ts";
import { Act, Button } from "../../html/act.tsx";
import { Document, type Frame } from "../../html/document.tsx";
import { Answer, Entry } from "../../html/entry.tsx";
import { Fields, FileField, TextField } from "../../html/field.tsx";
import { formatCount } from "../../html/format.ts";
import { RefusalNote } from "../../html/note.tsx";
import type { FormState } from "../kit/forms.ts";
import { type Gone, GoneNotice } from "../kit/goneNotice.tsx";
import { OnceField } from "../kit/once.tsx";
import { HistoryFold, type HistoryShown } from "../kit/thingHistory.tsx";
import { paths } from "../paths.ts";

type PictureRow = Readonly<{ picture: Picture; history: HistoryShown | null }>;
export type PicturesShown = Readonly<{
  of: Readonly<{ thing: Pictured; id: string; name: string; href: string }>;
  pictures: readonly PictureRow[];
  /** The form of the one being captioned, or of a new one. */
  form: FormState;
  captioned: string | null;
  gone: Gone | null;
}>;

const headingOf = ({ of, pictures }: PicturesShown): string =>
  pictures.length === 0
    ? `No picture of ${of.name} yet`
    : `${formatCount(pictures.length, "picture")} of ${of.name}`;

export const PicturesPage = ({ frame, shown }: { frame: Frame; shown: PicturesShown }) => (
  <Document title={`Pictures, ${shown.of.name}`} frame={frame}>
    <Entry aside={<a href={shown.of.href}>back to it</a>}>
      <Answer heading={headingOf(shown)}>
        The mount, the firmware page, the place of the meter: what words describe badly. They appear in the
        write-up.
      </Answer>
      <GoneNotice gone={shown.gone} />
      <AddForm shown={shown} />
    </Entry>
    {shown.pictures.map((row) => (
      <PictureEntry key={row.picture.id} {...row} shown={shown} />
    ))}
  </Document>
);

const AddForm = ({ shown: { of, form, captioned } }: { shown: PicturesShown }) => {
  const own = captioned === null ? form : { typed: {}, refused: null };
  return (
    <form method="post" action={paths.pictures(of.thing, of.id)} enctype="multipart/form-data">
      <OnceField once={form.typed.once} />
      <RefusalNote refused={own.refused} />
      <Fields>
        <FileField
          name="image"
          label="Picture"
          required
          accept="image/jpeg,image/png,image/webp"
          error={own.refused?.fields.image}
          hint={`JPEG, PNG or WebP, at most ${pictureLimitBytes >> 20} MiB. Where and when it was taken is not kept.`}
        />
        <TextField name="caption" label="Caption" maxlength={500} value={own.typed.caption} />
      </Fields>
      <Act>
        <Button first>Attach it</Button>
      </Act>
    </form>
  );
};

const ofWords = ({ mountId, attemptId }: Picture): string =>
  attemptId !== null ? "of an attempt" : mountId !== null ? "of a mount" : "of the build";

const PictureEntry = ({ picture, history, shown }: PictureRow & { shown: PicturesShown }) => {
  const { id, caption, widthPx, heightPx } = picture;
  const form = shown.captioned === id ? shown.form : { typed: { caption }, refused: null };
  return (
    <Entry
      id={`picture-${id}`}
      aside={
        <>
          <p>{ofWords(picture)}</p>
          <p>
            {widthPx} × {heightPx}
          </p>
        </>
      }
    >
      <figure class="picture">
        <a href={paths.pictureImage(id)}>
          <img
            src={paths.pictureImage(id)}
            width={widthPx}
            height={heightPx}
            alt={caption || "Picture without a caption"}
          />
        </a>
      </figure>
      <form method="post" action={paths.picture(id)}>
        <RefusalNote refused={form.refused} scope={id} />
        <TextField
          name="caption"
          scope={id}
          label="Caption"
          maxlength={500}
          value={form.typed.caption}
          error={form.refused?.fields.caption}
        />
        <input type="hidden" name="version" value={form.typed.version ?? picture.version} />
        <input type="hidden" name="of" value={`${shown.of.thing}/${shown.of.id}`} />
        <Act>
          <Button>Keep the caption</Button>
          <Button formaction={paths.deletion("pictures", id)}>Delete it</Button>
        </Act>
      </form>
      <HistoryFold history={history} />
    </Entry>
  );
};
