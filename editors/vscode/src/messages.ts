// What the panel of the drawing and the extension tell each other.

/** To the panel. */
export type ToPanel =
  | { is: "drawing"; uri: string; svg: string; scenes: string[]; scene: string | undefined }
  | { is: "light"; ids: string[] }
  | { is: "nothing"; why: string };

/** From the panel. */
export type FromPanel = { is: "ready" } | { is: "scene"; scene: string | undefined } | { is: "item"; id: string };

/** What is kept while the panel is hidden, and from one session to the next. `size` is 0 where it fits the panel. */
export interface Kept {
  uri: string;
  scene?: string;
  size?: number;
  left?: number;
  top?: number;
}
