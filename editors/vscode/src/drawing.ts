// The drawing beside the text: it follows what is typed, saved or not, and the cursor both ways.
import { randomBytes } from "node:crypto";
import * as vscode from "vscode";

import style from "../panel/drawing.css";
import { Follower } from "./follower";
import { isPlan, nameOf, planEditorOrSay, reveal, tooOld } from "./plan";
import type { FromPanel, Kept, ToPanel } from "./messages";
import type { Server } from "./server";

interface Position {
  line: number;
  character: number;
}

interface Range {
  start: Position;
  end: Position;
}

/** What the server answers. Ranges are in the columns of the protocol, which are those of the editor. */
interface Drawn {
  svg: string;
  /** Each with the place of its name, and that of its stanza. */
  items: { id: string; name: string; uri: string; range: Range; stanza: Range }[];
  scenes: string[];
}

const VIEW = "glimloom.drawing";

export function offerDrawing(context: vscode.ExtensionContext, server: Server): void {
  let open: Drawing | undefined;
  const take = (panel: vscode.WebviewPanel, kept: Kept) => {
    open?.dispose();
    const drawing = new Drawing(context, server, panel, kept);
    open = drawing;
    panel.onDidDispose(() => {
      if (open === drawing) {
        open = undefined;
      }
    });
  };
  context.subscriptions.push(
    vscode.commands.registerCommand("glimloom.openDrawing", () => {
      const editor = planEditorOrSay();
      if (!editor) {
        return;
      }
      if (open) {
        open.show(editor.document.uri);
        return;
      }
      const where = { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true };
      const panel = vscode.window.createWebviewPanel(VIEW, "Drawing", where, options(context));
      take(panel, { uri: editor.document.uri.toString() });
    }),
    vscode.window.registerWebviewPanelSerializer(VIEW, {
      async deserializeWebviewPanel(panel: vscode.WebviewPanel, kept: Kept | undefined) {
        panel.webview.options = options(context);
        take(panel, kept ?? { uri: "" });
      },
    }),
    { dispose: () => open?.dispose() },
  );
}

function options(context: vscode.ExtensionContext): vscode.WebviewOptions & vscode.WebviewPanelOptions {
  return {
    enableScripts: true,
    enableForms: false,
    enableCommandUris: false,
    localResourceRoots: [vscode.Uri.joinPath(context.extensionUri, "out")],
    enableFindWidget: true,
  };
}

class Drawing implements vscode.Disposable {
  private uri: vscode.Uri;
  private scene: string | undefined;
  private drawn: Drawn | undefined;
  private said = false;
  private readonly parts: vscode.Disposable[] = [];
  private readonly follower: Follower;

  constructor(
    context: vscode.ExtensionContext,
    private readonly server: Server,
    private readonly panel: vscode.WebviewPanel,
    kept: Kept,
  ) {
    this.uri = vscode.Uri.parse(kept.uri);
    this.scene = kept.scene;
    panel.iconPath = vscode.Uri.joinPath(context.extensionUri, "icons", "file.svg");
    panel.webview.onDidReceiveMessage((message: FromPanel) => void this.hear(message), undefined, this.parts);
    this.follower = new Follower(server, () => this.refresh());
    this.parts.push(
      this.follower,
      panel.onDidDispose(() => this.dispose()),
      vscode.window.onDidChangeActiveTextEditor((editor) => {
        if (isPlan(editor?.document) && !this.drawsPartOf(editor.document.uri)) {
          this.show(editor.document.uri);
        }
      }),
      vscode.window.onDidChangeTextEditorSelection(({ textEditor }) => {
        if (isPlan(textEditor.document)) {
          this.light(textEditor);
        }
      }),
    );
    panel.webview.html = page(panel.webview, context.extensionUri);
  }

  show(uri: vscode.Uri): void {
    if (uri.toString() !== this.uri.toString()) {
      this.uri = uri;
      this.scene = undefined;
    }
    this.panel.reveal(undefined, true);
    this.follower.follow();
  }

  /** Whether a file that is now looked at has items of the plan that is drawn: it is no other plan then. */
  private drawsPartOf(uri: vscode.Uri): boolean {
    return this.drawn?.items.some((item) => item.uri === uri.toString()) ?? false;
  }

  private async refresh(): Promise<void> {
    const uri = this.uri.toString();
    this.panel.title = `Drawing: ${nameOf(this.uri)}`;
    const answer = await this.server.ask<Drawn>("glimloom/drawing", { textDocument: { uri }, scene: this.scene });
    if (uri !== this.uri.toString()) {
      return;
    }
    switch (answer.is) {
      case "answer":
        this.drawn = answer.value;
        if (this.scene !== undefined && !answer.value.scenes.includes(this.scene)) {
          this.scene = undefined;
        }
        this.tell({ is: "drawing", uri, svg: answer.value.svg, scenes: answer.value.scenes, scene: this.scene });
        this.light(this.editor());
        break;
      case "unknown":
        this.tell({ is: "nothing", why: "This glimloom cannot draw. A later one can." });
        if (!this.said) {
          this.said = true;
          tooOld("a drawing");
        }
        break;
      case "none":
        this.tell({ is: "nothing", why: answer.why });
    }
  }

  private async hear(message: FromPanel): Promise<void> {
    switch (message.is) {
      case "ready":
        this.follower.follow();
        break;
      case "scene":
        this.scene = message.scene;
        this.follower.follow();
        break;
      case "item": {
        const item = this.drawn?.items.find(({ id }) => id === message.id);
        if (item) {
          const { start, end } = item.range;
          const range = new vscode.Range(start.line, start.character, end.line, end.character);
          await reveal(vscode.Uri.parse(item.uri), range);
        }
      }
    }
  }

  private editor(): vscode.TextEditor | undefined {
    return vscode.window.visibleTextEditors.find((editor) => editor.document.uri.toString() === this.uri.toString());
  }

  /** Lights the item that the cursor is in. */
  private light(editor: vscode.TextEditor | undefined): void {
    if (!editor || !this.drawn) {
      return;
    }
    const uri = editor.document.uri.toString();
    const { line, character } = editor.selection.active;
    const behind = (p: Position) => line > p.line || (line === p.line && character >= p.character);
    const before = (p: Position) => line < p.line || (line === p.line && character <= p.character);
    const around = this.drawn.items.filter(({ uri: of, stanza }) => of === uri && behind(stanza.start) && before(stanza.end));
    // Where one stanza ends the next may begin: the cursor is in that. A copy is several items.
    const last = around.at(-1)?.stanza.start.line;
    const here = around.filter(({ stanza }) => stanza.start.line === last);
    this.tell({ is: "light", ids: here.map(({ id }) => id) });
  }

  private tell(message: ToPanel): void {
    void this.panel.webview.postMessage(message);
  }

  dispose(): void {
    for (const part of this.parts.splice(0)) {
      part.dispose();
    }
    this.panel.dispose();
  }
}

function page(webview: vscode.Webview, extension: vscode.Uri): string {
  const nonce = randomBytes(18).toString("base64");
  const script = webview.asWebviewUri(vscode.Uri.joinPath(extension, "out/drawing.js")).toString();
  const rules = [
    "default-src 'none'",
    `script-src 'nonce-${nonce}'`,
    `style-src 'nonce-${nonce}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ];
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${rules.join("; ")}">
<style nonce="${nonce}">${style}</style>
<title>Drawing</title>
</head>
<body>
<header>
<label id="scene-label" hidden>Scene <select id="scene"></select></label>
<span class="zoom" role="group" aria-label="Size">
<button id="smaller" title="Smaller" aria-label="Smaller">−</button>
<button id="fit" title="As wide as the panel">Fit</button>
<button id="larger" title="Larger" aria-label="Larger">+</button>
</span>
</header>
<main id="paper" tabindex="0" aria-label="Drawing of the plan"></main>
<p id="nothing" role="status">Waiting for the server.</p>
<script nonce="${nonce}" src="${script}"></script>
</body>
</html>`;
}
