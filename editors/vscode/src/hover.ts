// Tables in hovers: VS Code sets their columns so close that figures run into each other, and their heads in the middle.
import * as vscode from "vscode";

export function withRoomInTables(hover: vscode.Hover | null | undefined): vscode.Hover | null | undefined {
  for (const content of hover?.contents ?? []) {
    if (content instanceof vscode.MarkdownString) {
      content.value = content.value.replace(/^\|.*\|$/gm, (row) => (/^[|\s:-]+$/.test(row) ? row.replaceAll("| -", "| :") : airy(row)));
    }
  }
  return hover;
}

/** A figure stays together with its unit, and its range, and stands apart from the next. */
function airy(row: string): string {
  const cells = row.slice(1, -1).split("|");
  return `|${cells.map((cell) => `${cell.trim().replace(/ (?!\()/g, "&nbsp;").replaceAll("–", "–&#8288;")}&nbsp;&nbsp;`).join("|")}|`;
}
