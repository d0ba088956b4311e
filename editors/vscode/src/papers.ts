// The papers for the bench: the sheet, the parts list, the suspects.
import * as vscode from "vscode";

import { nameOf, planEditorOrSay, tooOld } from "./plan";
import type { Server } from "./server";

const SCHEME = "glimloom";
/** Words of the outline for what gives light. */
const LIGHTS = new Set(["lamp", "strip", "string"]);
/** The scene that every plan has. */
const ALL_ON = "all-on";

export function offerPapers(context: vscode.ExtensionContext, server: Server): void {
  const texts = new Texts();
  const sheets = new Map<string, vscode.WebviewPanel>();
  const command = (name: string, run: () => Promise<void>) => vscode.commands.registerCommand(name, run);
  context.subscriptions.push(
    vscode.workspace.registerTextDocumentContentProvider(SCHEME, texts),
    command("glimloom.openSheet", () => openSheet(server, sheets)),
    command("glimloom.printSheet", () => openByServer(server, "glimloom.sheet", "a bench sheet")),
    command("glimloom.openParts", () => openByServer(server, "glimloom.parts", "a parts list")),
    command("glimloom.openSuspects", () => openSuspects(server, texts)),
  );
}

/** Texts that nobody has written to a file. */
class Texts implements vscode.TextDocumentContentProvider {
  private readonly texts = new Map<string, string>();
  private readonly changed = new vscode.EventEmitter<vscode.Uri>();
  readonly onDidChange = this.changed.event;

  put(name: string, text: string): vscode.Uri {
    const uri = vscode.Uri.from({ scheme: SCHEME, path: `/${name}` });
    this.texts.set(uri.toString(), text);
    this.changed.fire(uri);
    return uri;
  }

  provideTextDocumentContent(uri: vscode.Uri): string {
    return this.texts.get(uri.toString()) ?? "This paper is gone. Ask for it again from the plan.\n";
  }
}

/** The bench sheet of the text as it stands, saved or not. Asked for again, it is made anew. */
async function openSheet(server: Server, sheets: Map<string, vscode.WebviewPanel>): Promise<void> {
  const document = planEditorOrSay()?.document;
  if (!document) {
    return;
  }
  const uri = document.uri.toString();
  const answer = await server.ask<{ html: string }>("glimloom/sheet", { textDocument: { uri } });
  if (answer.is !== "answer") {
    return answer.is === "unknown" ? tooOld("a bench sheet") : cannot(answer.why);
  }
  let panel = sheets.get(uri);
  if (!panel) {
    const title = `Bench sheet: ${nameOf(document.uri)}`;
    // The sheet needs no script, and gets none.
    const options = { enableScripts: false, enableForms: false, localResourceRoots: [], enableFindWidget: true };
    panel = vscode.window.createWebviewPanel("glimloom.sheet", title, vscode.ViewColumn.Beside, options);
    panel.onDidDispose(() => sheets.delete(uri));
    sheets.set(uri, panel);
  }
  panel.webview.html = answer.value.html;
  panel.reveal(undefined, false);
}

/** A paper that the server opens by itself, as in any editor. */
async function openByServer(server: Server, command: string, what: string): Promise<void> {
  const document = planEditorOrSay()?.document;
  if (!document) {
    return;
  }
  if (!server.running) {
    return cannot("The server is not running.");
  }
  if (!server.has(command)) {
    return tooOld(what);
  }
  await vscode.commands.executeCommand(command, { uri: document.uri.toString() });
}

/** Asks which lights are dark, and shows what may be wrong. */
async function openSuspects(server: Server, texts: Texts): Promise<void> {
  const editor = planEditorOrSay();
  if (!editor) {
    return;
  }
  const { document } = editor;
  if (!server.running) {
    return cannot("The server is not running.");
  }
  const outline = await outlineOf(document.uri);
  const lights = outline.filter(({ word }) => LIGHTS.has(word));
  if (lights.length === 0) {
    return cannot("The plan has no light that could be dark.");
  }
  const here = editor.selection.active;
  const items = lights.map(({ name, detail, range }) => ({ label: name, description: detail, picked: range.contains(here) }));
  const dark = await vscode.window.showQuickPick(items, {
    canPickMany: true,
    title: "Suspects",
    placeHolder: "Which lights are dark, although they should be on?",
  });
  if (!dark || dark.length === 0) {
    return;
  }
  const scenes = outline.filter(({ word }) => word === "scene").map(({ name }) => name);
  const scene = scenes.length === 0 ? ALL_ON : await vscode.window.showQuickPick([...scenes, ALL_ON], { title: "Suspects", placeHolder: "In which scene?" });
  if (scene === undefined) {
    return;
  }
  const asked = { textDocument: { uri: document.uri.toString() }, dark: dark.map(({ label }) => label), scene };
  const answer = await server.ask<{ markdown: string }>("glimloom/suspects", asked);
  if (answer.is !== "answer") {
    return answer.is === "unknown" ? tooOld("suspects") : cannot(answer.why);
  }
  const paper = texts.put(`Suspects of ${nameOf(document.uri)}.md`, answer.value.markdown);
  await vscode.commands.executeCommand("markdown.showPreviewToSide", paper);
}

interface Entry {
  name: string;
  /** What it is. */
  word: string;
  detail: string;
  range: vscode.Range;
}

/** The outline of a plan, as one list. */
async function outlineOf(uri: vscode.Uri): Promise<Entry[]> {
  const outline = await vscode.commands.executeCommand<vscode.DocumentSymbol[] | undefined>("vscode.executeDocumentSymbolProvider", uri);
  const all: Entry[] = [];
  const look = (symbols: readonly vscode.DocumentSymbol[]) => {
    for (const { name, detail, range, children } of symbols) {
      all.push({ name, word: detail.split(" ", 1)[0] ?? "", detail, range });
      look(children);
    }
  };
  look(outline ?? []);
  return all;
}

function cannot(why: string): void {
  void vscode.window.showWarningMessage(why);
}
