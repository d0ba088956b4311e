// The plan at hand, and what has to be true of it.
import * as vscode from "vscode";

export const LANGUAGE = "harness";

export function isPlan(document: vscode.TextDocument | undefined): document is vscode.TextDocument {
  return document?.languageId === LANGUAGE;
}

/** The editor of the plan that somebody means: the one with the cursor, else the first that is seen. */
export function planEditor(): vscode.TextEditor | undefined {
  const active = vscode.window.activeTextEditor;
  if (isPlan(active?.document)) {
    return active;
  }
  return vscode.window.visibleTextEditors.find((editor) => isPlan(editor.document));
}

/** The same, or a word to who asks for something that needs one. */
export function planEditorOrSay(): vscode.TextEditor | undefined {
  const editor = planEditor();
  if (!editor) {
    void vscode.window.showInformationMessage("Open a plan first: a file whose name ends with .harness.");
  }
  return editor;
}

export function nameOf(uri: vscode.Uri): string {
  return uri.path.slice(uri.path.lastIndexOf("/") + 1);
}

/** Shows a place in the editor that has its file, or beside what is open. */
export async function reveal(uri: vscode.Uri, range: vscode.Range): Promise<void> {
  const seen = vscode.window.visibleTextEditors.find((editor) => editor.document.uri.toString() === uri.toString());
  const plan = planEditor();
  const editor = await vscode.window.showTextDocument(uri, {
    viewColumn: seen?.viewColumn ?? plan?.viewColumn ?? vscode.ViewColumn.One,
    preview: true,
  });
  editor.selection = new vscode.Selection(range.start, range.start);
  editor.revealRange(range, vscode.TextEditorRevealType.InCenterIfOutsideViewport);
}

/** What to say when the program is too old for something. */
export function tooOld(what: string): void {
  void vscode.window.showWarningMessage(
    `This glimloom cannot give ${what}. Install the version that belongs to the extension: cargo install --path . in the project's folder.`,
  );
}
