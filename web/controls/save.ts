import { closerOn } from "../charts/shownOn.ts";

const inks = /var\((--[\w-]+)\)/g;

const plainInk = (name: string, probe: HTMLElement): string => {
  probe.style.color = `var(${name})`;
  return getComputedStyle(probe).color;
};

/** The picture as it stands on the page, with real colours in place of the page's names for them. */
const standalone = (svg: SVGSVGElement): SVGSVGElement => {
  const probe = document.body.appendChild(document.createElement("span"));
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const sans = getComputedStyle(document.body).fontFamily;
  for (const element of [copy, ...copy.querySelectorAll("*")]) {
    for (const { name, value } of [...element.attributes]) {
      if (!value.includes("var(")) continue;
      const plain = value.replace(inks, (_, ink: string) => (ink === "--sans" ? sans : plainInk(ink, probe)));
      element.setAttribute(name, plain);
    }
  }
  const { width, height } = svg.viewBox.baseVal;
  copy.setAttribute("width", String(width));
  copy.setAttribute("height", String(height));
  const ground = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  ground.setAttribute("width", "100%");
  ground.setAttribute("height", "100%");
  ground.setAttribute("fill", plainInk("--paper", probe));
  copy.prepend(ground);
  probe.remove();
  return copy;
};

const svgText = (svg: SVGSVGElement): string => new XMLSerializer().serializeToString(standalone(svg));

const painted = async (svg: SVGSVGElement): Promise<Blob> => {
  const { width, height } = svg.viewBox.baseVal;
  const image = new Image();
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svgText(svg))}`;
  await image.decode();
  const canvas = Object.assign(document.createElement("canvas"), { width: 2 * width, height: 2 * height });
  canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve, reject) =>
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture"))), "image/png"),
  );
};

const download = (blob: Blob, name: string): void => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
};

/** What is looked at closely is kept as it is looked at; null where all is shown. */
const asCloser = async (figure: Element): Promise<SVGSVGElement | null> => {
  const drawing = figure.querySelector(".drawing.closer");
  const shown = drawing && closerOn(drawing);
  return shown ? (await import("../charts/closerPicture.tsx")).closerPicture(shown.plot, shown.x) : null;
};

const save = async (button: HTMLElement): Promise<void> => {
  const { save: kind, saveFrom } = button.dataset;
  const figure = document.querySelector(`#${CSS.escape(saveFrom ?? "")}`);
  const svg = figure && ((await asCloser(figure)) ?? figure.querySelector<SVGSVGElement>(".still svg"));
  if (!svg) return;
  const blob = kind === "png" ? await painted(svg) : new Blob([svgText(svg)], { type: "image/svg+xml" });
  download(blob, `${saveFrom}.${kind}`);
};

/** A chart to keep, as SVG or PNG. */
export const saveChart = async (button: HTMLElement): Promise<void> => {
  const words = button.textContent;
  try {
    await save(button);
  } catch {
    button.textContent = "could not be saved";
    setTimeout(() => {
      button.textContent = words;
    }, 4000);
  }
};
