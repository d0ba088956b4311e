// VS Code as a page: started afresh with the packed extension in it, looked at by a real browser.
import { spawn, execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";

/** No step takes this long on the slowest machine; only a failing test ever waits for it. */
export const PATIENCE = Number(process.env.PATIENCE ?? 90) * 1000;
const INSTALLED = process.env.VSCODE_INSTALLED;
const ENTRY = join(INSTALLED, "node_modules/code-server/out/node/entry.js");
const { chromium } = createRequire(join(INSTALLED, "package.json"))("playwright-core");

export function must(condition, what) {
  if (!condition) {
    throw new Error(`FAILED: ${what}`);
  }
  console.log(`ok ${what}`);
}

/** A folder that is gone at the end. */
export function temporary() {
  return mkdtempSync(join(tmpdir(), "glimloom-vscode-"));
}

function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.on("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

/** What nobody wants to see in a test: greetings, news, questions of trust. */
const QUIET = {
  "workbench.startupEditor": "none",
  "workbench.tips.enabled": false,
  "workbench.welcomePage.walkthroughs.openOnInstall": false,
  "files.autoSave": "off",
  "telemetry.telemetryLevel": "off",
  "update.mode": "none",
  "extensions.autoUpdate": false,
  "extensions.autoCheckUpdates": false,
  "extensions.ignoreRecommendations": true,
  "security.workspace.trust.enabled": false,
  "git.enabled": false,
  "window.restoreWindows": "none",
  "workbench.enableExperiments": false,
  "chat.commandCenter.enabled": false,
  "editor.cursorBlinking": "solid",
};

export class Editor {
  /**
   * `program` is found on the PATH under its own name; without one, none is there. With `asksForTrust` a folder is not trusted until
   * somebody says so. `vsix` is another packed extension.
   */
  static async start({ program, settings = {}, asksForTrust = false, vsix = process.env.VSIX }) {
    const editor = new Editor();
    editor.folder = temporary();
    const at = (name) => {
      const path = join(editor.folder, name);
      mkdirSync(path, { recursive: true });
      return path;
    };
    const [user, extensions, bin] = [at("user"), at("extensions"), at("bin")];
    editor.user = user;
    if (program) {
      symlinkSync(program, join(bin, "glimloom"));
    }
    editor.settings = asksForTrust
      ? { ...settings, "security.workspace.trust.enabled": true, "security.workspace.trust.startupPrompt": "never" }
      : settings;
    mkdirSync(join(user, "User"));
    mkdirSync(join(user, "Machine"));
    editor.set({});
    // As started from a shell: a login shell, which VS Code asks otherwise, has a PATH of its own.
    const env = { ...process.env, VSCODE_CLI: "1", PATH: `${bin}:${dirname(process.execPath)}:/usr/bin:/bin`, HOME: at("home"), EXTENSIONS_GALLERY: JSON.stringify({ serviceUrl: "" }) };
    delete env.GLIMLOOM;
    const place = ["--user-data-dir", user, "--extensions-dir", extensions, "--config", join(editor.folder, "config.yaml")];
    execFileSync(process.execPath, [ENTRY, ...place, "--install-extension", vsix], { env, stdio: ["ignore", "ignore", "inherit"] });
    const port = await freePort();
    editor.port = port;
    const quiet = [...(asksForTrust ? [] : ["--disable-workspace-trust"]), "--disable-telemetry", "--disable-update-check", "--disable-getting-started-override"];
    const args = [ENTRY, ...place, "--auth", "none", "--bind-addr", `127.0.0.1:${port}`, ...quiet];
    editor.process = spawn(process.execPath, args, { env, detached: true, stdio: ["ignore", "pipe", "pipe"] });
    await new Promise((resolve, reject) => {
      const said = [];
      const timer = setTimeout(() => reject(new Error(`VS Code does not start:\n${said.join("")}`)), PATIENCE);
      const hear = (data) => {
        said.push(String(data));
        if (said.join("").includes("HTTP server listening")) {
          clearTimeout(timer);
          resolve();
        }
      };
      editor.process.stdout.on("data", hear);
      editor.process.stderr.on("data", hear);
      editor.process.on("exit", (code) => reject(new Error(`VS Code ended (${code}):\n${said.join("")}`)));
    });
    const flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
    editor.browser = await chromium.launch({ executablePath: process.env.CHROMIUM, args: flags });
    return editor;
  }

  /** Puts settings over those that are there; `null` takes one away. */
  set(change) {
    this.settings = Object.fromEntries(Object.entries({ ...this.settings, ...change }).filter(([, value]) => value !== null));
    // What belongs to the machine, as where a program is, has a file of its own.
    const { "glimloom.path": path, ...rest } = this.settings;
    writeFileSync(join(this.user, "Machine/settings.json"), JSON.stringify({ "glimloom.path": path }, null, 2));
    writeFileSync(join(this.user, "User/settings.json"), JSON.stringify({ ...QUIET, ...rest }, null, 2));
  }

  uri(path) {
    return `vscode-remote://127.0.0.1:${this.port}${path}`;
  }

  /** A page with a folder or a workspace open, and what else is to be done at the start. */
  async page({ folder, workspace, payload = [], before = async () => {}, width = 1280, height = 800 }) {
    const page = await this.browser.newPage({ viewport: { width, height } });
    page.setDefaultTimeout(PATIENCE);
    await before(page);
    const open = folder ? `folder=${encodeURIComponent(folder)}` : workspace ? `workspace=${encodeURIComponent(workspace)}` : "ew=true";
    await page.goto(`http://127.0.0.1:${this.port}/?${open}&payload=${encodeURIComponent(JSON.stringify(payload))}`);
    return page;
  }

  async stop() {
    await this.browser?.close().catch(() => {});
    const { process: server } = this;
    if (server && server.exitCode === null) {
      server.removeAllListeners("exit");
      const ended = new Promise((resolve) => server.once("exit", resolve));
      process.kill(-server.pid, "SIGTERM");
      const late = setTimeout(() => process.kill(-server.pid, "SIGKILL"), 10_000);
      await ended;
      clearTimeout(late);
    }
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 10, retryDelay: 200 });
  }
}

/** A picture of the page, in `target/`; with --write in docs/pictures, too, unless it is only to be looked at. */
export async function picture(page, name, isForPage = true) {
  const folder = join(process.env.TOP, "target/vscode/pictures");
  mkdirSync(folder, { recursive: true });
  const file = `vscode-${name}.png`;
  await page.mouse.move(2, 400);
  await page.screenshot({ path: join(folder, file), animations: "disabled" });
  if (isForPage && process.argv.includes("--write")) {
    copyFileSync(join(folder, file), join(process.env.TOP, "docs/pictures", file));
  }
}

/** Goes to a place as a builder does: by its line. */
export async function go(page, line, column = 1) {
  await page.keyboard.press("Control+g");
  await page.keyboard.type(`:${line}:${column}`);
  await page.keyboard.press("Enter");
}

/** Runs a command by its title. */
export async function command(page, title) {
  await page.keyboard.press("F1");
  await page.keyboard.type(title);
  await page.keyboard.press("Enter");
}

/** The line that some words stand in. */
export const lineOf = (text, words) => text.slice(0, text.indexOf(words)).split("\n").length;

/** Does what is to be done with an editor and a folder of its own; of what fails a picture is kept. */
export async function withEditor(options, run) {
  const work = temporary();
  let editor;
  try {
    editor = await Editor.start(options);
    await run(editor, work);
  } catch (failed) {
    const [page] = editor?.browser?.contexts().flatMap((context) => context.pages()) ?? [];
    if (page) {
      await picture(page, "failed", false);
    }
    throw failed;
  } finally {
    await editor?.stop();
    rmSync(work, { recursive: true, force: true });
  }
}

/** An editor for pictures: nothing around the text. */
export const BARE = {
  "workbench.activityBar.location": "hidden",
  "editor.minimap.enabled": false,
  "breadcrumbs.enabled": false,
  "window.menuBarVisibility": "hidden",
  "workbench.layoutControl.enabled": false,
  "window.commandCenter": false,
};
export const THEMES = { day: "Default Light Modern", night: "Default Dark Modern" };
