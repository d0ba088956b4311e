// What the supplies of the plan give, of how much, in the status bar.
import * as vscode from "vscode";

import { Follower } from "./follower";
import { isPlan, planEditor } from "./plan";
import type { Server } from "./server";

interface Loads {
  supplies: { name: string; scene: string; given: number; limit?: number; fit: "unknown" | "fits" | "tight" | "over"; says: string }[];
}

/** In a longer plan the server tells the supplies of one circuit. */
const LONG = 2000;

export function keepLoadInSight(server: Server): vscode.Disposable {
  const item = vscode.window.createStatusBarItem("glimloom.load", vscode.StatusBarAlignment.Left, 10);
  item.name = "Load of the supplies";
  item.command = "glimloom.openDrawing";

  const refresh = async () => {
    const editor = planEditor();
    if (!editor) {
      item.hide();
      return;
    }
    const { document } = editor;
    const { line, character } = editor.selection.active;
    const asked = { textDocument: { uri: document.uri.toString() }, position: { line, character } };
    const answer = await server.ask<Loads>("glimloom/load", asked);
    if (planEditor()?.document !== document) {
      return;
    }
    const supplies = answer.is === "answer" ? answer.value.supplies : [];
    const fullest = supplies[0];
    if (!fullest) {
      item.hide();
      return;
    }
    const more = supplies.length > 1 ? ` (+${supplies.length - 1})` : "";
    item.text = `$(zap) ${fullest.says}${more}`;
    const colour = { over: "statusBarItem.errorBackground", tight: "statusBarItem.warningBackground" };
    item.backgroundColor =
      fullest.fit === "over" || fullest.fit === "tight" ? new vscode.ThemeColor(colour[fullest.fit]) : undefined;
    const lines = supplies.map((supply) => `${supply.says} (${supply.scene})`);
    item.tooltip = `What the supplies give, each in the scene in which it gives most:\n${lines.join("\n")}`;
    item.accessibilityInformation = { label: `Load: ${lines.join("; ")}` };
    item.show();
  };
  const follower = new Follower(server, refresh);
  const moved = vscode.window.onDidChangeTextEditorSelection(({ textEditor }) => {
    // Of a long plan the circuit at the cursor is told.
    if (isPlan(textEditor.document) && textEditor.document.lineCount > LONG) {
      follower.follow();
    }
  });
  return vscode.Disposable.from(item, follower, moved);
}
