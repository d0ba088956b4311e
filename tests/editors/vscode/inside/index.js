// Runs in the extension host, beside the extension: asks VS Code what a builder would see.
const vscode = require("vscode");
const { execFileSync } = require("node:child_process");
const { chmodSync, mkdirSync, readFileSync, writeFileSync } = require("node:fs");
const { join } = require("node:path");

const { work, top, program, patience, scenarios, only } = JSON.parse(readFileSync(join(__dirname, "at.json"), "utf8"));
const example = (name) => readFileSync(join(top, "docs/examples", name), "utf8");

function must(condition, what) {
  if (!condition) {
    throw new Error(`FAILED: ${what}`);
  }
  console.log(`ok ${what}`);
}

/** Waits until `ready` gives something. */
async function wait(what, ready) {
  const late = Date.now() + patience;
  for (;;) {
    const found = await ready();
    if (found) {
      console.log(`ok ${what}`);
      return found;
    }
    if (Date.now() > late) {
      throw new Error(`FAILED: ${what}`);
    }
    await new Promise((resolve) => setTimeout(resolve, 30));
  }
}

function write(folder, name, text) {
  const path = join(work, folder, name);
  mkdirSync(join(path, ".."), { recursive: true });
  writeFileSync(path, text);
  return vscode.Uri.file(path);
}

async function open(uri) {
  const document = await vscode.workspace.openTextDocument(uri);
  const editor = await vscode.window.showTextDocument(document, { preview: false });
  return { uri: document.uri, document, editor };
}

const codeOf = (finding) => (typeof finding.code === "object" ? finding.code.value : finding.code);
const findings = (uri) => vscode.languages.getDiagnostics(uri);
const found = (uri, check) => findings(uri).find((finding) => codeOf(finding) === check);

/** Where some words begin. */
function at(document, words, more = 0) {
  const offset = document.getText().indexOf(words);
  if (offset < 0) {
    throw new Error(`FAILED: "${words}" stands in the text`);
  }
  return document.positionAt(offset + more);
}

async function replace(document, words, by) {
  const edit = new vscode.WorkspaceEdit();
  const start = at(document, words);
  edit.replace(document.uri, new vscode.Range(start, document.positionAt(document.offsetAt(start) + words.length)), by);
  must(await vscode.workspace.applyEdit(edit), `"${words}" is now "${by}"`);
}

/** What the command line finds in the same file. */
function checked(uri) {
  try {
    return JSON.parse(execFileSync(program, ["check", "--json", uri.fsPath], { encoding: "utf8" })).findings;
  } catch (ended) {
    return JSON.parse(ended.stdout).findings;
  }
}

async function hover(uri, position) {
  const hovers = await vscode.commands.executeCommand("vscode.executeHoverProvider", uri, position);
  return hovers.flatMap((one) => one.contents.map((content) => content.value ?? String(content))).join("\n");
}

const cases = {
  async "every command of the extension is there"() {
    const extension = vscode.extensions.getExtension("glimloom.glimloom");
    must(extension !== undefined, "the packed extension is installed");
    await open(write("first", "empty.harness", ""));
    await wait("it is active", () => extension.isActive);
    const all = await vscode.commands.getCommands(true);
    const { commands } = extension.packageJSON.contributes;
    must(commands.length === 8, "it offers eight commands");
    for (const { command } of commands) {
      must(all.includes(command), `the command ${command} is registered`);
    }
  },

  async "an example: the right findings in the right places"() {
    const { uri, document } = await open(write("first", "mistakes.harness", example("mistakes.harness")));
    must(document.languageId === "harness", "the file is known as a harness file");
    const all = await wait("the findings are there", () => found(uri, "single-path") && findings(uri));
    const places = all.map((finding) => `${codeOf(finding)} "${document.getText(finding.range)}" ${finding.range.start.line + 1}`);
    const wanted = ["cut-inside-group \"17 lamps\" 42", "feed-unfused \"from S1 over 60 mm of fine\" 37", "single-path \"baker\" 42", "supply-over-budget \"0.5 A\" 35"];
    must(places.sort().join("; ") === wanted.join("; "), `the four mistakes stand where they are: ${places.join("; ")}`);
    must(all.every((finding) => finding.source === "glimloom" && finding.code.target.path.endsWith(".md")), "each leads to the page of its check");
    const said = checked(uri).map((finding) => finding.message);
    must(all.map((finding) => finding.message).sort().join() === said.sort().join(), "the command line says the same");
    must(found(uri, "single-path").relatedInformation.length > 0, "a finding names related places");

    const told = await hover(uri, at(document, "strip  draper", 8));
    must(/15 lamps of warm/.test(told) && /mA/.test(told) && /If it breaks/.test(told), "hover tells the figures and what a break does");

    const hints = await vscode.commands.executeCommand("vscode.executeInlayHintProvider", uri, new vscode.Range(0, 0, document.lineCount, 0));
    must(hints.some((hint) => /V .* mA/.test(typeof hint.label === "string" ? hint.label : hint.label.map((part) => part.value).join(""))), "hints stand behind the lights");
    const lenses = await vscode.commands.executeCommand("vscode.executeCodeLensProvider", uri, 10);
    const budget = lenses.find((lens) => lens.command?.command === "glimloom.budget");
    must(/of 500 mA/.test(budget.command.title), `a line above the supply: ${budget.command.title}`);
    const worst = lenses.find((lens) => lens.command?.command === "glimloom.worstBreak");
    await vscode.commands.executeCommand(worst.command.command, ...worst.command.arguments);
    const { editor } = { editor: vscode.window.activeTextEditor };
    await wait("a click on the worst break leads there", () => document.getText(editor.selection).length > 0 || editor.selection.active.line > 0);

    const legend = await vscode.commands.executeCommand("vscode.provideDocumentSemanticTokensLegend", uri);
    const tokens = await vscode.commands.executeCommand("vscode.provideDocumentSemanticTokens", uri);
    must(legend.tokenTypes.includes("keyword") && tokens.data.length > 500, "the words have their kinds");
    const outline = await vscode.commands.executeCommand("vscode.executeDocumentSymbolProvider", uri);
    must(outline.some((symbol) => symbol.name === "adapter" && symbol.children.length > 0), "the outline follows the power");
  },

  async "completion offers figures"() {
    const { uri, document } = await open(write("first", "list.harness", `${example("night-ferry.harness")}lamp late of pearl resistor  from keel\n`));
    const end = at(document, "lamp late of pearl resistor ", "lamp late of pearl resistor ".length);
    const list = await vscode.commands.executeCommand("vscode.executeCompletionItemProvider", uri, end, " ", 3);
    const labels = list.items.map((item) => `${typeof item.label === "string" ? item.label : item.label.label} ${item.detail ?? item.label.description ?? ""}`);
    must(labels.some((label) => /^\d.* ohm.*mA/.test(label)), `resistors with the current that each gives: ${labels.slice(0, 2).join("; ")}`);
    must(list.items.some((item) => item.documentation), "the entry that is looked at says more");
  },

  async "the branching fix is applied and saved"() {
    const { uri, document } = await open(write("first", "chain.harness", readFileSync(join(top, "tests/editors/neovim/chain.harness"), "utf8")));
    const finding = await wait("the chain is found", () => found(uri, "single-path"));
    must(findings(uri).length === 1, "nothing else is");
    const actions = await vscode.commands.executeCommand("vscode.executeCodeActionProvider", uri, finding.range, vscode.CodeActionKind.QuickFix.value, 20);
    const fix = actions.find((action) => action.isPreferred && /^branch /.test(action.title));
    must(fix?.edit !== undefined, `it is offered first: ${fix?.title}`);
    must(await vscode.workspace.applyEdit(fix.edit), "it can be applied");
    await wait("the chain is gone", () => findings(uri).length === 0);
    must(document.getText().includes("# chained for now"), "the comment on the line is kept");
    must(await document.save(), "the plan is saved");
    must(checked(uri).length === 0, "the saved plan is right");
  },

  async "the scenario that is the same for every editor"() {
    const severity = { error: vscode.DiagnosticSeverity.Error, warning: vscode.DiagnosticSeverity.Warning, hint: vscode.DiagnosticSeverity.Hint };
    for (const folder of scenarios) {
      for (const one of JSON.parse(readFileSync(join(folder, "scenario.json"), "utf8"))) {
        const { uri, document, editor } = await open(vscode.Uri.file(join(folder, one.plan)));
        await wait(`as many findings come as the program tells: ${one.findings.length}`, () => findings(uri).length === one.findings.length);
        for (const { check, line, message, words, severity: bad } of one.findings) {
          const finding = findings(uri).find((finding) => codeOf(finding) === check && finding.range.start.line + 1 === line && finding.message === message);
          must(finding !== undefined, `${check} is found in line ${line}`);
          must(document.getText(finding.range).split(/\r?\n/)[0] === words && finding.severity === severity[bad], `at its words, as bad as it is: ${words}`);
        }
        const chain = found(uri, "single-path");
        const told = await hover(uri, chain.range.start);
        must(told.includes(one.item) && /mA/.test(told) && /If it breaks/.test(told), "hover tells what it is about");

        const end = document.lineAt(document.lineCount - 1).range.end;
        await editor.edit((edit) => edit.insert(end, one.half));
        const offers = await vscode.commands.executeCommand("vscode.executeCompletionItemProvider", uri, end.translate(0, one.half.length));
        const labels = offers.items.map(({ label }) => (typeof label === "string" ? label : label.label));
        must(labels.includes(one.stock), `completion offers ${one.stock}`);
        await editor.edit((edit) => edit.replace(new vscode.Range(end, end.translate(0, one.half.length)), one.wrong));
        const late = await wait("what is typed wrong is found", () => findings(uri).find(({ message }) => message.includes("nobody")));
        must(late.range.start.line === end.line, "in its line");
        await editor.edit((edit) => edit.delete(new vscode.Range(end, end.translate(0, one.wrong.length))));
        await wait("and goes", () => findings(uri).length === one.findings.length && !findings(uri).some(({ message }) => message.includes("nobody")));

        const actions = await vscode.commands.executeCommand("vscode.executeCodeActionProvider", uri, chain.range, vscode.CodeActionKind.QuickFix.value, 20);
        must(await vscode.workspace.applyEdit(actions.find(({ title }) => title === one.fix).edit), `done: ${one.fix}`);
        await wait("the chain is gone", () => !found(uri, "single-path"));
        await document.save();
        const edit = await vscode.commands.executeCommand("vscode.executeDocumentRenameProvider", uri, chain.range.start, one.new);
        must(edit.entries().length === 2 && (await vscode.workspace.applyEdit(edit)), "the name is changed in two files");
        const layout = new vscode.WorkspaceEdit();
        // Of a plan that is laid out there is nothing to edit.
        layout.set(uri, (await vscode.commands.executeCommand("vscode.executeFormatDocumentProvider", uri, { tabSize: 2, insertSpaces: true })) ?? []);
        await vscode.workspace.applyEdit(layout);
        const annex = await vscode.workspace.openTextDocument(join(folder, one.annex));
        must(annex.getText().includes(`from ${one.new}`), "the name is another one there");
        must((await document.save()) && (await annex.save()), "both are saved");
      }
    }
  },

  async "typing makes a finding appear and go"() {
    const { uri, document, editor } = await open(write("first", "typed.harness", example("night-ferry.harness")));
    await wait("the plan is looked at", async () => (await hover(uri, at(document, "keel"))).length > 0);
    must(findings(uri).length === 0, "the example has no finding");
    const place = at(document, "of cold 6 lamps", "of cold ".length);
    const six = new vscode.Range(place, place.translate(0, 1));
    await editor.edit((edit) => edit.replace(six, "7"));
    const cut = await wait("a cut inside a group is found", () => found(uri, "cut-inside-group"));
    must(cut.range.start.line === place.line, "it stands on the line that was typed");
    await editor.edit((edit) => edit.replace(six, "6"));
    await wait("it goes when the cut is put right", () => findings(uri).length === 0);
  },

  async "a name is changed in two files"() {
    const stock = write("first", "rename/stock.harness", "led pearl\n  drops 3.0 V at 20 mA\n  limit 25 mA\n");
    const { uri, document } = await open(write("first", "rename/plan.harness", 'use "stock.harness"\nsupply s 12 V 1 A\nfuse F1 100 mA from s\nlamp mast of pearl resistor 560 ohm from F1\n'));
    await wait("the name is known", async () => (await hover(uri, at(document, "pearl"))).includes("pearl"));
    const edit = await vscode.commands.executeCommand("vscode.executeDocumentRenameProvider", uri, at(document, "pearl", 1), "glow");
    must(edit.entries().length === 2, "both files change");
    must(await vscode.workspace.applyEdit(edit), "they can be changed");
    const other = await vscode.workspace.openTextDocument(stock);
    must((await document.save()) && (await other.save()), "they are saved");
    const [first, second] = [stock, uri].map((file) => readFileSync(file.fsPath, "utf8"));
    must(first.startsWith("led glow\n") && /lamp mast of glow +resistor/.test(second), `the name is another one in both: ${first} ${second}`);
    must(checked(uri).every((finding) => finding.severity !== "error"), "the plan holds together");
  },

  async "a plan is laid out"() {
    const text = "supply s 12 V 1 A\nfuse F1 100 mA from s\njoint keel from F1\n";
    const { uri } = await open(write("first", "layout.harness", text));
    const edits = await vscode.commands.executeCommand("vscode.executeFormatDocumentProvider", uri, { tabSize: 2, insertSpaces: true });
    const edit = new vscode.WorkspaceEdit();
    edit.set(uri, edits);
    must(await vscode.workspace.applyEdit(edit), "the layout can be applied");
    const { document } = await open(uri);
    await document.save();
    const again = write("outside", "layout.harness", text);
    execFileSync(program, ["format", again.fsPath]);
    must(document.getText() === readFileSync(again.fsPath, "utf8") && document.getText() !== text, "it is that of the command line");
  },

  async "letters outside of the basic plane, and CRLF"() {
    const text = [
      "# \u{1f526}\u{1f526} a torch, and \u{20bb7} in names",
      "led \u{20bb7}-led drops 3.0 V at 20 mA limit 25 mA",
      'supply adapter 12 V 1 A note "\u{1f6a2}\u{1f6a2}"',
      "fuse F1 400 mA from adapter",
      "lamp \u{20bb7}-1 of \u{20bb7}-led resistor 56 ohm from F1 # \u{1f526}",
      "",
    ].join("\r\n");
    const { uri, document } = await open(write("first", "letters.harness", text));
    must(document.eol === vscode.EndOfLine.CRLF, "the lines end as they did");
    const finding = await wait("a lamp over its limit is found", () => found(uri, "lamp-over-limit"));
    must(document.getText(finding.range) === "resistor 56 ohm", `it stands on its words: ${document.getText(finding.range)}`);
    const actions = await vscode.commands.executeCommand("vscode.executeCodeActionProvider", uri, finding.range, vscode.CodeActionKind.QuickFix.value, 5);
    must(await vscode.workspace.applyEdit(actions.find((action) => action.isPreferred).edit), "a mend is applied");
    await wait("the lamp is within its limit", () => !found(uri, "lamp-over-limit"));
    const edit = await vscode.commands.executeCommand("vscode.executeDocumentRenameProvider", uri, at(document, "\u{20bb7}-1", 1), "\u{20bb7}-mast");
    must(await vscode.workspace.applyEdit(edit), "a name is changed");
    const lines = document.getText().split("\r\n");
    must(lines.length === 6 && lines[4].startsWith("lamp \u{20bb7}-mast of \u{20bb7}-led resistor ") && lines[4].endsWith(" from F1 # \u{1f526}"), `all else stays: ${lines[4]}`);
  },

  async "a text without a file"() {
    const document = await vscode.workspace.openTextDocument({ language: "harness", content: "supply s twelve\n" });
    await vscode.window.showTextDocument(document);
    await wait("what is wrong with it is found", () => findings(document.uri).length > 0);
    await vscode.commands.executeCommand("glimloom.newPlan");
    const { document: plan } = vscode.window.activeTextEditor;
    must(plan.isUntitled && plan.getText().startsWith("harness "), "a new plan has a whole small one in it");
    await vscode.commands.executeCommand("leaveSnippet");
    await wait("it is known", async () => (await hover(plan.uri, at(plan, "lamp   porch", 8))).includes("mA"));
    must(findings(plan.uri).length === 0, `nothing is wrong with it: ${findings(plan.uri).map((finding) => finding.message)}`);
  },

  async "every snippet is right"() {
    const { contributes } = vscode.extensions.getExtension("glimloom.glimloom").packageJSON;
    const path = join(vscode.extensions.getExtension("glimloom.glimloom").extensionPath, contributes.snippets[0].path);
    const snippets = JSON.parse(readFileSync(path, "utf8"));
    // What a snippet takes from the rest of the plan, unless it brings it itself.
    const base = [
      ["F1", "supply wall 12 V 1 A\nfuse F1 500 mA from wall"],
      ["hook", "wire hook gauge 22 AWG insulation pvc outer 1.3 mm"],
      ["fine", "wire fine gauge 28 AWG insulation enamel"],
      ["warm", "tape warm group 3 lamps long 25 mm works 9 V to 12.6 V draws 18 mA at 12 V"],
      ["pearl", "led pearl drops 3.0 V at 20 mA limit 25 mA"],
      ["hub", "joint hub from F1 over 100 mm of hook"],
      ["porch", "lamp porch of pearl resistor 1 kohm from F1"],
    ];
    for (const [name, snippet] of Object.entries(snippets)) {
      const document = await vscode.workspace.openTextDocument({ language: "harness", content: "" });
      const editor = await vscode.window.showTextDocument(document);
      await editor.insertSnippet(new vscode.SnippetString(snippet.body.join("\n")));
      const own = document.getText();
      const defines = (word) => new RegExp(`^\\w+\\s+${word}\\b`, "m").test(own);
      const wanted = base.filter(([word]) => !defines(word)).map(([, stanza]) => stanza);
      // With one thing that is wrong for certain: when that is found, all is.
      const sure = "lamp sure of nobody from nowhere";
      await editor.edit((edit) => edit.insert(document.positionAt(own.length), `\n${wanted.join("\n")}\n${sure}\n`));
      const line = at(document, sure).line;
      await wait(`the snippet "${name}" is read`, () => findings(document.uri).some((finding) => finding.range.start.line === line));
      const errors = findings(document.uri).filter((finding) => finding.severity === vscode.DiagnosticSeverity.Error && finding.range.start.line !== line);
      must(errors.length === 0, `it has no error: ${errors.map((finding) => finding.message)}`);
    }
  },

  async "a file outside of any folder"() {
    const { uri } = await open(write("outside", "alone.harness", example("mistakes.harness")));
    must(vscode.workspace.getWorkspaceFolder(uri) === undefined, "it is in no folder");
    await wait("its findings are there", () => findings(uri).length === 4);
  },

  async "two folders"() {
    const { uri } = await open(write("second", "ferry.harness", `${example("night-ferry.harness")}lamp late of nobody from keel\n`));
    await wait("a name that is nowhere is found in the second", () => findings(uri).some((finding) => finding.message.includes("nobody")));
    const unopened = write("second", "unopened.harness", example("mistakes.harness"));
    await wait("so are findings of a plan that nobody has open", () => findings(unopened).length === 4);
    await wait("a name is found in both folders", async () => {
      const names = await vscode.commands.executeCommand("vscode.executeWorkspaceSymbolProvider", "baker");
      const folders = new Set(names.map((name) => vscode.workspace.getWorkspaceFolder(name.location.uri)?.name));
      return folders.has("first") && folders.has("second");
    });
  },

  async "a file that cannot be written"() {
    const file = write("first", "sealed.harness", example("mistakes.harness"));
    chmodSync(file.fsPath, 0o444);
    const { uri, document, editor } = await open(file);
    await wait("its findings are there", () => findings(uri).length === 4);
    must((await hover(uri, at(document, "strip  draper", 8))).includes("mA"), "hover tells its figures");
    const before = document.getText();
    await editor.edit((edit) => edit.insert(new vscode.Position(0, 0), "x")).then(undefined, () => false);
    await vscode.commands.executeCommand("editor.action.formatDocument");
    await vscode.commands.executeCommand("undo");
    must(readFileSync(uri.fsPath, "utf8") === before, "the file stays as it is");
  },

  async "a hundred thousand lines"() {
    const piece = (n) => `supply s${n} 12 V 1 A\nfuse f${n} 100 mA from s${n}\njoint j${n} from f${n}\nlamp a${n} of pearl resistor 560 ohm from j${n}\nlamp b${n} of pearl resistor 1 kohm from j${n}\n`;
    const text = `led pearl drops 3.0 V at 20 mA limit 25 mA\n${Array.from({ length: 20_000 }, (_, n) => piece(n)).join("")}`;
    const { uri, document, editor } = await open(write("outside", "large.harness", text));
    must(document.lineCount > 100_000, `the plan has ${document.lineCount} lines`);
    const line = document.lineCount - 3;
    const start = document.lineAt(line).text.indexOf("560");
    await editor.edit((edit) => edit.replace(new vscode.Range(line, start, line, start + 3), "56"));
    const finding = await wait("what is typed at its end is found", () => found(uri, "lamp-over-limit"));
    must(finding.range.start.line === line, "in its line");
    await editor.edit((edit) => edit.replace(new vscode.Range(line, start, line, start + 2), "560"));
    await wait("and goes", () => !found(uri, "lamp-over-limit"));
    const range = new vscode.Range(line - 40, 0, line, 0);
    const tokens = await vscode.commands.executeCommand("vscode.provideDocumentRangeSemanticTokens", uri, range);
    must(tokens.data.length > 500, "its words have their kinds");
    must((await hover(uri, new vscode.Position(line, 6))).includes("mA"), "hover tells figures at its end");
    await vscode.commands.executeCommand("workbench.action.revertAndCloseActiveEditor");
  },

  async "the parts list opens"() {
    const { uri, document } = await open(write("first", "parts.harness", example("night-ferry.harness")));
    await wait("the plan is looked at", async () => (await hover(uri, at(document, "keel"))).length > 0);
    await vscode.commands.executeCommand("glimloom.openParts");
    const list = await wait("it is another document", () => vscode.window.visibleTextEditors.find(({ document }) => document.languageId !== "harness"));
    must(/pearl/.test(list.document.getText()) && /mm|m\b/.test(list.document.getText()), "with what the plan needs");
  },

  async "settings hold at once"() {
    const { uri, document } = await open(vscode.Uri.file(join(work, "first/typed.harness")));
    const range = new vscode.Range(0, 0, document.lineCount, 0);
    const labels = async () => {
      const hints = await vscode.commands.executeCommand("vscode.executeInlayHintProvider", uri, range);
      return hints.map((hint) => (typeof hint.label === "string" ? hint.label : hint.label.map((part) => part.value).join("")));
    };
    must(!(await labels()).some((label) => label.startsWith("break:")), "breaks are not shown at first");
    const settings = vscode.workspace.getConfiguration("glimloom");
    await settings.update("hints.dark", true, vscode.ConfigurationTarget.Global);
    await wait("they are when they are switched on", async () => (await labels()).some((label) => label.startsWith("break:")));
    await settings.update("hints.dark", undefined, vscode.ConfigurationTarget.Global);
    await wait("and no more when they are off", async () => !(await labels()).some((label) => label.startsWith("break:")));
  },

  async "the server is started again when asked"() {
    const { uri } = await open(vscode.Uri.file(join(work, "first/mistakes.harness")));
    await vscode.commands.executeCommand("glimloom.restart");
    await wait("its findings are there again", () => findings(uri).length === 4);
    await vscode.commands.executeCommand("glimloom.showLog");
  },

  async "a folder that is not on the disk"() {
    const { capabilities } = vscode.extensions.getExtension("glimloom.glimloom").packageJSON;
    must(capabilities.virtualWorkspaces.supported === "limited" && capabilities.untrustedWorkspaces.supported === "limited", "the extension says what it can there");
    const files = new Map([["/mistakes.harness", Buffer.from(example("mistakes.harness"))]]);
    const sure = (found, uri) => {
      if (!found) {
        throw vscode.FileSystemError.FileNotFound(uri);
      }
      return found;
    };
    const known = { ctime: 0, mtime: 0, size: 0 };
    const provider = {
      onDidChangeFile: new vscode.EventEmitter().event,
      watch: () => new vscode.Disposable(() => {}),
      stat: (uri) => (uri.path === "/" ? { type: vscode.FileType.Directory, ...known } : { type: vscode.FileType.File, ...known, size: sure(files.get(uri.path), uri).length }),
      readDirectory: () => [...files.keys()].map((name) => [name.slice(1), vscode.FileType.File]),
      readFile: (uri) => sure(files.get(uri.path), uri),
      writeFile: (uri, content) => void files.set(uri.path, content),
      createDirectory: () => {},
      delete: (uri) => void files.delete(uri.path),
      rename: () => {},
    };
    vscode.workspace.registerFileSystemProvider("memory", provider);
    must(vscode.workspace.updateWorkspaceFolders(2, 0, { uri: vscode.Uri.parse("memory:/"), name: "afar" }), "it is put to the folders");
    await wait("it is one of them", () => vscode.workspace.workspaceFolders.length === 3);
    const { uri } = await open(vscode.Uri.parse("memory:/mistakes.harness"));
    await wait("its findings are there", () => findings(uri).length === 4);
  },
};

exports.run = async () => {
  for (const [name, test] of Object.entries(cases)) {
    if (!only || name.includes(only)) {
      console.log(`-- ${name}`);
      await test();
    }
  }
};
