import type { Picture, Pictured } from "../../bench/pictures/picture.ts";
import { formatCount } from "../../html/format.ts";
import { paths } from "../paths.ts";

type Props = Readonly<{ thing: Pictured; id: string; pictures: readonly Picture[] }>;

const mostShown = 6;

/** On the page of what is pictured: the pictures, small, and the way to them. */
export const PictureStrip = ({ thing, id, pictures }: Props) => {
  const address = paths.pictures(thing, id);
  return (
    <div class="pictures">
      {pictures.slice(0, mostShown).map(({ id: pictureId, caption, widthPx, heightPx }) => (
        <a key={pictureId} href={`${address}#picture-${pictureId}`}>
          <img
            src={paths.pictureImage(pictureId)}
            width={widthPx}
            height={heightPx}
            alt={caption || "Picture without a caption"}
            loading="lazy"
          />
        </a>
      ))}
      <a href={address}>
        {pictures.length === 0 ? "Attach a picture" : formatCount(pictures.length, "picture")}
      </a>
    </div>
  );
};
