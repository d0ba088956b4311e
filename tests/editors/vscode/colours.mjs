// The colours before the server answers, by VS Code's own reader of grammars, against the kinds of words that the server gives: of every
// example each word is to look alike before and after, but for what only the meaning of the plan can tell.
import { spawn } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { must } from "./editor.mjs";

const top = process.env.TOP;
const extension = join(top, "editors/vscode");
const require = createRequire(join(extension, "package.json"));
const { Registry, parseRawGrammar, INITIAL } = require("vscode-textmate");
const oniguruma = require("vscode-oniguruma");
const manifest = JSON.parse(readFileSync(join(extension, "package.json"), "utf8"));
const scopes = manifest.contributes.semanticTokenScopes[0].scopes;

await oniguruma.loadWASM(readFileSync(require.resolve("vscode-oniguruma/release/onig.wasm")).buffer);
const path = join(extension, manifest.contributes.grammars[0].path);
const registry = new Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async () => parseRawGrammar(readFileSync(path, "utf8"), path),
});
const grammar = await registry.loadGrammar("source.harness");

/** The innermost scope of each place of each line. */
function before(text) {
  let state = INITIAL;
  return text.split(/\r\n|\n/).map((line) => {
    const { tokens, ruleStack, stoppedEarly } = grammar.tokenizeLine(line, state);
    must.quiet(!stoppedEarly, `the grammar gives up at: ${line}`);
    state = ruleStack;
    return (column) => tokens.find(({ startIndex, endIndex }) => startIndex <= column && column < endIndex)?.scopes.at(-1);
  });
}

must.quiet = (condition, what) => {
  if (!condition) {
    throw new Error(`FAILED: ${what}`);
  }
};

/** The server's kinds of words: asked as an editor asks. */
async function after(texts) {
  const server = spawn(process.env.GLIMLOOM, ["serve"], { stdio: ["pipe", "pipe", "inherit"] });
  const waiting = new Map();
  let held = Buffer.alloc(0);
  server.stdout.on("data", (data) => {
    held = Buffer.concat([held, data]);
    for (;;) {
      const end = held.indexOf("\r\n\r\n");
      const length = end < 0 ? NaN : Number(/Content-Length: (\d+)/i.exec(held.subarray(0, end))[1]);
      if (!(held.length >= end + 4 + length)) {
        return;
      }
      const message = JSON.parse(held.subarray(end + 4, end + 4 + length));
      held = held.subarray(end + 4 + length);
      waiting.get(message.id)?.(message.result);
    }
  });
  const send = (message) => {
    const body = JSON.stringify({ jsonrpc: "2.0", ...message });
    server.stdin.write(`Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`);
  };
  let last = 0;
  const ask = (method, params) => new Promise((resolve) => {
    waiting.set(++last, resolve);
    send({ id: last, method, params });
  });
  const { capabilities } = await ask("initialize", { processId: process.pid, rootUri: null, capabilities: {} });
  send({ method: "initialized", params: {} });
  const { tokenTypes } = capabilities.semanticTokensProvider.legend;
  const found = [];
  for (const [n, text] of texts.entries()) {
    const uri = `untitled:plan-${n}`;
    send({ method: "textDocument/didOpen", params: { textDocument: { uri, languageId: "harness", version: 1, text } } });
    const { data } = await ask("textDocument/semanticTokens/full", { textDocument: { uri } });
    const words = [];
    for (let i = 0, line = 0, column = 0; i < data.length; i += 5) {
      column = data[i] === 0 ? column + data[i + 1] : data[i + 1];
      line += data[i];
      words.push({ line, column, length: data[i + 2], kind: tokenTypes[data[i + 3]] });
    }
    found.push(words);
  }
  await ask("shutdown");
  send({ method: "exit" });
  return found;
}

const folder = join(top, "docs/examples");
const files = readdirSync(folder).filter((name) => name.endsWith(".harness"));
const texts = files.map((name) => readFileSync(join(folder, name), "utf8"));
// What no example has: letters of all kinds, half-written stanzas, a mark at the very beginning.
files.push("odd");
texts.push(
  '\u{feff}lamp \u{20bb7}-1.tip of Öl resistor 2k2 from blink.a over 1/16in of fine note "a \\" # b" # \u{1f526}\r\n' +
    "wire hook gauge 26AWG insulation pvc outer 1.3mm colours red,black tolerance 20 %\r\nscene 2026-03-14\r\nlamp-post\r\nsupply \"open\r\n  12",
);
const kinds = await after(texts);

// What the meaning alone can tell: names of stock, places, patterns and scenes where they are used, checks, outputs.
const NAMES = new Set(["class", "variable", "method", "namespace", "interface", "parameter", "event", "decorator"]);
let words = 0;
const other = [];
files.forEach((file, n) => {
  const scopeAt = before(texts[n]);
  const lines = texts[n].split(/\r\n|\n/);
  for (const { line, column, length, kind } of kinds[n]) {
    words++;
    const scope = scopeAt[line](column);
    const wanted = scopes[kind]?.[0];
    must.quiet(wanted !== undefined, `the kind ${kind} has a colour`);
    const isName = NAMES.has(kind) && /^(variable|entity|support)\./.test(scope);
    if (scope !== wanted && !isName) {
      other.push(`${file}:${line + 1}: "${lines[line].slice(column, column + length)}" is ${kind}, before ${scope}`);
    }
  }
});
must(words > 3000, `${words} words of ${files.length} texts were looked at`);
// A name may be spelt like a word of the language that has its place elsewhere.
must(other.length <= words / 200, `${other.length} of them look like another kind before the server answers${other.map((line) => `\n   ${line}`).join("")}`);
