// Where the extension begins: the server, and what the editor offers around it.
import * as vscode from "vscode";

import { offerDrawing } from "./drawing";
import { keepLoadInSight } from "./load";
import { offerPapers } from "./papers";
import { Server } from "./server";

let started: Server | undefined;

export function activate(context: vscode.ExtensionContext): void {
  const server = new Server(context);
  started = server;
  context.subscriptions.push(
    server,
    keepLoadInSight(server),
    vscode.commands.registerCommand("glimloom.restart", () => server.start()),
    vscode.commands.registerCommand("glimloom.showLog", () => server.log.show()),
    vscode.commands.registerCommand("glimloom.newPlan", newPlan),
    vscode.workspace.onDidChangeConfiguration((change) => {
      if (change.affectsConfiguration("glimloom.path")) {
        void server.start();
      }
    }),
    // What was set in a folder counts from now on.
    vscode.workspace.onDidGrantWorkspaceTrust(() => void server.start()),
    vscode.workspace.onDidChangeWorkspaceFolders(({ added }) => {
      if (added.some((folder) => folder.uri.scheme !== "file")) {
        void server.start();
      }
    }),
  );
  offerDrawing(context, server);
  offerPapers(context, server);
  void server.start();
}

/** An untitled plan with a whole small one in it, to be changed. */
async function newPlan(): Promise<void> {
  const document = await vscode.workspace.openTextDocument({ language: "harness" });
  await vscode.window.showTextDocument(document);
  await vscode.commands.executeCommand("editor.action.insertSnippet", { langId: "harness", name: "A first plan" });
}

export async function deactivate(): Promise<void> {
  await started?.end();
}
