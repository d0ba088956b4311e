// What goes wrong outside of the plan: no program, another program, an old one, one that is no server, a server that dies, a folder that is not
// to be trusted. It is said, with a way out. And a program that came with the extension.
import { chmodSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { must, PATIENCE, withEditor } from "./editor.mjs";

const example = readFileSync(join(process.env.TOP, "docs/examples/mistakes.harness"));

/** A folder with a plan in it. */
function folderWithPlan(work) {
  const models = join(work, "models");
  mkdirSync(models);
  const plan = join(models, "mistakes.harness");
  writeFileSync(plan, example);
  return { models, plan };
}

function script(work, name, lines) {
  const path = join(work, name);
  writeFileSync(path, `#!/bin/sh\n${lines}\n`);
  chmodSync(path, 0o755);
  return path;
}

const squiggles = (page) => page.waitForSelector(".squiggly-error", { state: "attached" });

await withEditor({}, async (editor, work) => {
  const { models, plan } = folderWithPlan(work);
  const page = await editor.page({ folder: models, payload: [["openFile", editor.uri(plan)]], height: 1200 });
  const told = (words) => page.waitForSelector(`.notification-list-item:visible >> text=${words}`);
  const choose = async (words, button) => {
    const one = page.locator(".notification-list-item:visible", { hasText: words }).first();
    await one.hover();
    await one.locator(".monaco-button", { hasText: button }).click();
  };
  // No more than three stand there at a time.
  const clear = async () => {
    await page.keyboard.press("F1");
    await page.keyboard.type("Notifications: Clear All");
    await page.keyboard.press("Enter");
    await page.waitForSelector(".notification-list-item", { state: "hidden" });
  };

  await told("The program glimloom is not installed");
  must(true, "it is said that there is no program");
  const colours = new Set(await page.$$eval(".view-line span span", (words) => words.map((word) => getComputedStyle(word).color)));
  must(colours.size >= 4, `the words have their colours without it: ${colours.size}`);
  await choose("not installed", "Open settings");
  await page.waitForSelector(".settings-editor >> text=Path");
  must(true, "the settings are one click away");
  await clear();

  editor.set({ "glimloom.path": join(work, "nowhere") });
  await told("The setting glimloom.path leads to no program");
  must(true, "a path that leads nowhere is named");
  await clear();
  editor.set({ "glimloom.path": "glimloom" });
  await told("takes the whole path");
  must(true, "half a path is refused");
  await clear();
  editor.set({ "glimloom.path": script(work, "other", 'echo "some other program 3.1"') });
  await told("is not glimloom");
  must(true, "another program is not taken for it");
  await clear();
  editor.set({ "glimloom.path": script(work, "old", 'echo "glimloom 0.0.9"') });
  await told("is glimloom 0.0.9; this extension needs");
  must(true, "an old one is named, with the version that is needed");
  await clear();
  // What says the right name and version, and is no server all the same.
  const seems = (name, does) => script(work, name, `[ "$1" = --version ] && exec echo "glimloom 99.0.0"\n${does}`);
  // It is gone before it was spoken to, or after.
  for (const [name, does] of [["starts", 'echo "no server"; exit 3'], ["listens", "read -r _; sleep 0.3; exit 3"]]) {
    editor.set({ "glimloom.path": seems(name, does) });
    await told("glimloom does not start: it ended before it had answered");
    await page.waitForTimeout(2000);
    must((await page.locator(".notification-list-item:visible").count()) === 1, `one that ${name} and ends is told of, once`);
    await clear();
  }
  editor.set({ "glimloom.path": seems("silent", "exec sleep 600") });
  await told("was started, but does not answer");
  must(true, "one that says nothing is told of");
  await clear();

  const pids = join(work, "pids");
  const real = script(work, "real", `[ "$1" = serve ] && echo $$ >> "${pids}"\nexec "${process.env.GLIMLOOM}" "$@"`);
  editor.set({ "glimloom.path": real });
  await page.click(".tab >> text=mistakes.harness");
  await squiggles(page);
  must(true, "with the right one the findings are there");

  const started = () => readFileSync(pids, "utf8").trim().split("\n").map(Number);
  const until = async (what, ready) => {
    for (const late = Date.now() + PATIENCE; !ready(); await page.waitForTimeout(50)) {
      if (Date.now() > late) {
        throw new Error(`FAILED: ${what}`);
      }
    }
    must(true, what);
  };
  for (let crash = 1; crash <= 3; crash++) {
    process.kill(started().at(-1), "SIGKILL");
    await until(`the server is started again after crash ${crash}`, () => started().length === crash + 1);
    await squiggles(page);
  }
  process.kill(started().at(-1), "SIGKILL");
  await told("glimloom has crashed 4 times in three minutes");
  must(started().length === 4, "after the fourth it is not, and that is said");
  await choose("has crashed 4 times", "Start again");
  await until("it is started again by hand", () => started().length === 5);
  await squiggles(page);
  must(true, "and the findings are there");
});

// With neither a setting nor a program on the PATH, the copy in the extension is taken.
await withEditor({ vsix: process.env.VSIX_WITH_PROGRAM }, async (editor, work) => {
  const { models, plan } = folderWithPlan(work);
  const page = await editor.page({ folder: models, payload: [["openFile", editor.uri(plan)]] });
  await squiggles(page);
  // The log is there, and in it what was said, when the editor has had time for it.
  const said = () => {
    const logs = readdirSync(join(editor.user, "logs"), { recursive: true }).filter((name) => name.endsWith("glimloom.log"));
    return logs.map((log) => readFileSync(join(editor.user, "logs", log), "utf8")).join("");
  };
  const start = () => /^Starting (.*) \(glimloom/m.exec(said())?.[1] ?? "";
  for (const late = Date.now() + PATIENCE; start() === "" && Date.now() < late; await page.waitForTimeout(50)) {}
  const started = start();
  must(started.startsWith(editor.folder) && started.endsWith("/server/glimloom"), `the copy in the extension is taken: ${started.replace(editor.folder, "")}`);
});

await withEditor({ program: process.env.GLIMLOOM, asksForTrust: true }, async (editor, work) => {
  const { models, plan } = folderWithPlan(work);
  const ran = join(work, "ran");
  const theirs = script(work, "theirs", `touch "${ran}"\nexec "${process.env.GLIMLOOM}" "$@"`);
  mkdirSync(join(models, ".vscode"));
  writeFileSync(join(models, ".vscode/settings.json"), JSON.stringify({ "glimloom.path": theirs }));
  const page = await editor.page({ folder: models, payload: [["openFile", editor.uri(plan)]], height: 1200 });
  await page.waitForSelector(".statusbar-item >> text=Restricted Mode");
  await squiggles(page);
  must(true, "in a folder that is not trusted the findings are there");
  must(!existsSync(ran), "but it cannot choose the program");
  await page.click(".statusbar-item >> text=Restricted Mode");
  await page.click(".workspace-trust-editor .monaco-button >> text=/^Trust$/");
  for (const late = Date.now() + PATIENCE; !existsSync(ran) && Date.now() < late; await page.waitForTimeout(50)) {}
  must(existsSync(ran), "until somebody trusts it");
});
