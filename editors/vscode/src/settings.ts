// What is set in the editor. The server asks for its own part; what is the extension's alone it is not told.
import { workspace } from "vscode";

export const SECTION = "glimloom";

/** Settings that are the extension's alone. */
const OWN = new Set(["path", "trace"]);

export function programPath(): string {
  return (workspace.getConfiguration(SECTION).get<string>("path") ?? "").trim();
}

/** A section of the settings as the server is to see it. */
export function forServer(section: unknown): unknown {
  if (typeof section !== "object" || section === null) {
    return section;
  }
  return Object.fromEntries(Object.entries(section).filter(([name]) => !OWN.has(name)));
}
