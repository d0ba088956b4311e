// Does something anew whenever a plan is edited, another one is looked at, or the server has come up: once at a time,
// and once more at the end if anything has changed meanwhile.
import * as vscode from "vscode";

import { isPlan } from "./plan";
import type { Server } from "./server";

export class Follower implements vscode.Disposable {
  private busy = false;
  private again = false;
  private gone = false;
  private readonly listeners: vscode.Disposable;

  constructor(
    server: Server,
    private readonly refresh: () => Promise<void>,
  ) {
    this.listeners = vscode.Disposable.from(
      vscode.workspace.onDidChangeTextDocument(({ document, contentChanges }) => {
        if (isPlan(document) && contentChanges.length > 0) {
          this.follow();
        }
      }),
      vscode.workspace.onDidOpenTextDocument((document) => isPlan(document) && this.follow()),
      vscode.window.onDidChangeActiveTextEditor(() => this.follow()),
      server.onChanged(() => this.follow()),
    );
    this.follow();
  }

  follow(): void {
    this.again = true;
    if (!this.busy) {
      this.busy = true;
      // The edit that this was told of is to reach the server first.
      setTimeout(() => void this.run(), 0);
    }
  }

  private async run(): Promise<void> {
    while (this.again && !this.gone) {
      this.again = false;
      try {
        await this.refresh();
      } catch (why) {
        console.error(why);
      }
    }
    this.busy = false;
  }

  dispose(): void {
    this.gone = true;
    this.listeners.dispose();
  }
}
