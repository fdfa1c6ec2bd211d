import type { Refusal } from "../bench/things/refusal.ts";
import { Act, ButtonLink } from "../html/act.tsx";
import { Document, pageHtml } from "../html/document.tsx";
import { Answer, Entry } from "../html/entry.tsx";
import type { PageContext } from "./kit/context.ts";
import { paths } from "./paths.ts";
import { frameOf } from "./siteMap.ts";

const headings: Readonly<Record<Refusal["code"], string>> = {
  invalid: "That could not be read",
  missing: "Not in the journal",
  conflict: "Nothing was changed",
  "too-large": "Too large",
  forbidden: "Not allowed",
  misdirected: "Not allowed",
  full: "The disk is full",
  stopped: "The journal is open to read only",
  internal: "Something went wrong here",
};

/** A whole page that says what was refused and why. */
export const refusalPage = (context: PageContext, refusal: Refusal): string =>
  pageHtml(
    <Document title={headings[refusal.code]} frame={frameOf(context, null)}>
      <Entry>
        <Answer heading={headings[refusal.code]}>{refusal.message}</Answer>
        <Act>
          <ButtonLink href={paths.bench()}>To the bench</ButtonLink>
        </Act>
      </Entry>
    </Document>,
  );
