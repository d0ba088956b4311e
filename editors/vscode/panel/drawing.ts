// The page of the drawing: puts in what it is sent, lights what the cursor is in, tells what is clicked.
import type { FromPanel, Kept, ToPanel } from "../src/messages";

declare function acquireVsCodeApi(): { postMessage(message: FromPanel): void; getState(): Kept | undefined; setState(kept: Kept): void };

const editor = acquireVsCodeApi();
let kept: Kept = editor.getState() ?? { uri: "" };

function byId<T extends HTMLElement>(id: string): T {
  const element = document.getElementById(id);
  if (!element) {
    throw new Error(`the page has no ${id}`);
  }
  return element as T;
}

const paper = byId("paper");
const nothing = byId("nothing");
const chooser = byId<HTMLSelectElement>("scene");
const chooserLabel = byId("scene-label");
// A tree of its own: the drawing's rules of style hold in it alone.
const sheet = paper.attachShadow({ mode: "open" });
let svg: SVGSVGElement | undefined;
/** As wide as the drawing says that it is. */
let natural = 0;
let lit: string[] = [];

function keep(change: Partial<Kept>): void {
  kept = { ...kept, ...change };
  editor.setState(kept);
}

const OWN_STYLE = `
:host { display: block; }
svg { display: block; max-width: none; user-select: none; }
a:focus-visible { outline: 2px solid var(--vscode-focusBorder); }
.here { outline: 2px solid var(--vscode-focusBorder); outline-offset: 3px; border-radius: 3px; }
`;

/** The drawing as elements. Its rules of style are put in as sheets, which needs no exception from the page's policy. */
function read(text: string): { drawing: SVGSVGElement; styles: CSSStyleSheet[] } | undefined {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  const root = parsed.documentElement;
  if (!(root instanceof SVGSVGElement) || parsed.querySelector("parsererror")) {
    return undefined;
  }
  const rules = [OWN_STYLE];
  root.querySelectorAll("style").forEach((style) => {
    rules.push(style.textContent ?? "");
    style.remove();
  });
  root.querySelectorAll("script, foreignObject, image, iframe").forEach((element) => element.remove());
  const inline: [Element, string][] = [];
  [root, ...root.querySelectorAll("*")].forEach((element) => {
    for (const { name } of [...element.attributes]) {
      if (name.startsWith("on")) {
        element.removeAttribute(name);
      }
    }
    const style = element.getAttribute("style");
    if (style !== null) {
      element.removeAttribute("style");
      inline.push([element, style]);
    }
  });
  const drawing = document.adoptNode(root);
  for (const [element, style] of inline) {
    (element as SVGElement).style.cssText = style;
  }
  const styles = rules.map((text) => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
    return sheet;
  });
  return { drawing, styles };
}

function put(text: string): void {
  const found = read(text);
  if (!found) {
    say("The drawing cannot be read.");
    return;
  }
  const { scrollLeft, scrollTop } = paper;
  const isFirst = svg === undefined;
  svg = found.drawing;
  const box = svg.viewBox.baseVal;
  natural = box && box.width > 0 ? box.width : svg.width.baseVal.value || 800;
  svg.removeAttribute("height");
  sheet.adoptedStyleSheets = found.styles;
  sheet.replaceChildren(svg);
  nothing.hidden = true;
  paper.hidden = false;
  dress();
  size();
  paper.scrollTo(isFirst ? (kept.left ?? 0) : scrollLeft, isFirst ? (kept.top ?? 0) : scrollTop);
  light(lit, false);
}

function say(why: string): void {
  nothing.textContent = why;
  nothing.hidden = false;
  paper.hidden = svg === undefined;
}

/** Light or dark, as the editor is. */
function dress(): void {
  const classes = document.body.classList;
  const isDark = classes.contains("vscode-dark") || (classes.contains("vscode-high-contrast") && !classes.contains("vscode-high-contrast-light"));
  document.documentElement.style.colorScheme = isDark ? "dark" : "light";
  svg?.classList.toggle("dark", isDark);
  svg?.classList.toggle("light", !isDark);
}

function size(): void {
  const wide = kept.size ? natural * kept.size : Math.min(natural * 1.5, paper.clientWidth);
  svg?.setAttribute("width", String(Math.max(80, wide)));
}

function zoom(by: number, at?: { x: number; y: number }): void {
  if (!svg) {
    return;
  }
  const before = svg.getBoundingClientRect();
  const now = before.width / natural;
  const next = Math.min(8, Math.max(0.1, now * by));
  const frame = paper.getBoundingClientRect();
  const point = at ?? { x: frame.left + frame.width / 2, y: frame.top + frame.height / 2 };
  keep({ size: next });
  size();
  // What is under the pointer stays there.
  const after = svg.getBoundingClientRect();
  paper.scrollLeft += after.left + ((point.x - before.left) * after.width) / before.width - point.x;
  paper.scrollTop += after.top + ((point.y - before.top) * after.height) / before.height - point.y;
}

/** The ids of items are their names, whatever those are made of: they are compared, never put into a selector. */
function itemOf(id: string): Element | null {
  return sheet.getElementById(id);
}

function light(ids: string[], follow: boolean): void {
  sheet.querySelectorAll(".here").forEach((element) => element.classList.remove("here"));
  lit = ids;
  const elements = ids.map(itemOf).filter((element) => element !== null);
  for (const element of elements) {
    element.classList.add("here");
  }
  if (follow) {
    elements[0]?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }
}

function clicked(event: Event): void {
  const anchor = event.composedPath().find((target): target is SVGAElement => target instanceof SVGAElement);
  if (!anchor) {
    return;
  }
  event.preventDefault();
  if (anchor.id) {
    editor.postMessage({ is: "item", id: anchor.id });
  } else {
    // It leads to another sheet of the drawing.
    itemOf(anchor.href.baseVal.slice(1))?.scrollIntoView({ block: "center", inline: "center" });
  }
}

function choose(scenes: string[], scene: string | undefined): void {
  // The scene that every plan has comes first.
  const others = scenes.filter((name) => name !== "all-on");
  const options = ["", ...others].map((name) => {
    const option = document.createElement("option");
    option.value = name;
    option.textContent = name === "" ? "everything on" : name;
    return option;
  });
  chooser.replaceChildren(...options);
  chooser.value = scene ?? "";
  chooserLabel.hidden = others.length === 0;
}

window.addEventListener("message", ({ data }: MessageEvent<ToPanel>) => {
  switch (data.is) {
    case "drawing":
      keep({ uri: data.uri, scene: data.scene });
      choose(data.scenes, data.scene);
      put(data.svg);
      break;
    case "light":
      light(data.ids, true);
      break;
    case "nothing":
      say(data.why);
  }
});

chooser.addEventListener("change", () => editor.postMessage({ is: "scene", scene: chooser.value || undefined }));
byId("larger").addEventListener("click", () => zoom(1.25));
byId("smaller").addEventListener("click", () => zoom(0.8));
byId("fit").addEventListener("click", () => {
  keep({ size: 0 });
  size();
});
paper.addEventListener("click", clicked);
paper.addEventListener("scroll", () => keep({ left: paper.scrollLeft, top: paper.scrollTop }), { passive: true });
paper.addEventListener(
  "wheel",
  (event) => {
    if (event.ctrlKey || event.metaKey) {
      event.preventDefault();
      zoom(event.deltaY < 0 ? 1.1 : 1 / 1.1, { x: event.clientX, y: event.clientY });
    }
  },
  { passive: false },
);
paper.addEventListener("keydown", (event) => {
  const by = { "+": 1.25, "=": 1.25, "-": 0.8 }[event.key];
  if (by !== undefined && !event.ctrlKey && !event.metaKey) {
    zoom(by);
  }
});

// The drawing is drawn about by the pointer.
let held: { x: number; y: number; left: number; top: number; moved: boolean } | undefined;
paper.addEventListener("pointerdown", (event) => {
  if (event.button === 0) {
    held = { x: event.clientX, y: event.clientY, left: paper.scrollLeft, top: paper.scrollTop, moved: false };
  }
});
window.addEventListener("pointermove", (event) => {
  if (!held || (event.buttons & 1) === 0) {
    held = undefined;
    return;
  }
  const [x, y] = [event.clientX - held.x, event.clientY - held.y];
  held.moved ||= Math.hypot(x, y) > 4;
  if (held.moved) {
    paper.scrollTo(held.left - x, held.top - y);
  }
});
// The click at the end of a drag is none.
window.addEventListener(
  "click",
  (event) => {
    if (held?.moved) {
      event.preventDefault();
      event.stopPropagation();
    }
    held = undefined;
  },
  true,
);
window.addEventListener("resize", () => !kept.size && size());
new MutationObserver(dress).observe(document.body, { attributes: true, attributeFilter: ["class"] });

dress();
editor.postMessage({ is: "ready" });
