// What stands beside the text. The drawing: it follows what is typed and the cursor, leads to the stanza of what is clicked, marks what is found,
// is light and dark as the editor is, fetches nothing, has a chooser of scenes, and is there again when the window is. The bench sheet and the suspects open too.
// With --write the pictures go into docs/pictures.
import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { BARE, command, go, lineOf, must, picture, THEMES, withEditor } from "./editor.mjs";

const text = readFileSync(join(process.env.TOP, "docs/examples/mistakes.harness"), "utf8");

/** The page inside a panel. */
async function inside(page, selector) {
  for (let tries = 0; tries < 400; tries++) {
    for (const frame of page.frames().filter((frame) => frame !== page.mainFrame())) {
      if (await frame.$(selector).catch(() => null)) {
        return frame;
      }
    }
    await page.waitForTimeout(100);
  }
  throw new Error(`FAILED: no panel shows ${selector}`);
}

const settings = { ...BARE, "workbench.colorTheme": THEMES.night };
await withEditor({ program: process.env.GLIMLOOM, settings }, async (editor, work) => {
  const plan = join(work, "mistakes.harness");
  writeFileSync(plan, text);
  copyFileSync(join(process.env.TOP, "docs/examples/night-ferry.harness"), join(work, "night-ferry.harness"));
  const page = await editor.page({ folder: work, payload: [["openFile", editor.uri(plan)]], width: 1480, height: 760 });
  // A panel is a page within the page, of an origin of its own.
  const fetched = [];
  page.on("request", (request) => fetched.push({ by: request.frame()?.parentFrame() ? "a panel" : "the editor", from: new URL(request.url()) }));
  const textEditor = () => page.click(".editor-group-container .view-lines >> nth=0");
  await textEditor();
  await page.keyboard.press("Control+b");
  await page.waitForSelector(".part.sidebar", { state: "hidden" });
  await command(page, "glimloom: Open the Drawing");
  let frame = await inside(page, "#paper svg");
  must(true, "the drawing stands beside the text");
  const items = await frame.$$eval("#paper a[id^=item-]", (anchors) => anchors.length);
  const stanzas = text.match(/^(supply|fuse|switch|joint|strip|lamp) /gm).length;
  must(items === stanzas, `every item is in it: ${items} of ${stanzas}`);
  const marked = (frame, kind) => frame.$$eval(`#paper a[id^=item-]:has(.${kind})`, (anchors) => anchors.length);
  must((await marked(frame, "error")) === 2 && (await marked(frame, "warning")) === 1, "what is found is marked at its items");
  await textEditor();
  await go(page, lineOf(text, "lamp   street-2"), 9);
  await frame.waitForSelector("#paper a.here text >> text=street-2");
  must(true, "the item that the cursor is in is lit");
  await picture(page, "drawing");
  // The link's own shape may be hollow: its name is what is clicked.
  await frame.click("#paper a[id^=item-] text >> text=attic");
  await page.waitForFunction((line) => document.querySelector(".editor-group-container .active-line-number")?.textContent === String(line), lineOf(text, "joint  attic"));
  must(true, "a click on an item leads to its stanza");
  const before = await frame.$eval("#paper", (paper) => paper.shadowRoot.textContent);
  must(!before.includes("quay-light"), "what is not there is not drawn");
  await page.keyboard.press("Control+End");
  await page.keyboard.type("\nlamp quay-light of sign resistor 1 kohm 1/4 W from cellar over 50 mm of fine\n");
  await frame.waitForSelector("#paper a text >> text=quay-light");
  must(true, "the drawing follows what is typed, saved or not");
  must(readFileSync(plan, "utf8") === text, "nothing was saved");

  const dark = await frame.$eval("#paper", (paper) => getComputedStyle(paper.shadowRoot.querySelector(".paper")).fill);
  await command(page, "Preferences: Toggle between Light/Dark Themes");
  await frame.waitForFunction((dark) => getComputedStyle(document.querySelector("#paper").shadowRoot.querySelector(".paper")).fill !== dark, dark);
  must(true, "the drawing is light in a light theme");
  await picture(page, "light");
  const policy = await frame.$eval("meta[http-equiv=Content-Security-Policy]", (meta) => meta.content);
  must(policy.startsWith("default-src 'none'") && !policy.includes("unsafe"), `the policy of the page is strict: ${policy.replace(/nonce-[^']+/g, "nonce-…")}`);

  // A page that is opened anew has the panel again, and where it was.
  await textEditor();
  await command(page, "File: Revert File");
  await page.waitForFunction(() => !document.querySelector(".tab.dirty"));
  await page.goto(page.url().replace(/&payload=.*/, ""));
  frame = await inside(page, "#paper svg");
  must(true, "the drawing is there again when the window is");

  // Another plan, with scenes.
  await command(page, "Go to File...");
  await page.keyboard.type("night-ferry");
  await page.waitForSelector(".quick-input-list .monaco-list-row >> text=night-ferry.harness");
  await page.keyboard.press("Enter");
  await frame.waitForSelector("#paper svg text >> text=Brae Sound");
  must(true, "the drawing is that of the plan that is looked at");
  const scenes = await frame.$$eval("#scene option", (options) => options.map((option) => option.textContent));
  must(["crossing", "alongside", "laid-up"].every((scene) => scenes.includes(scene)), `its scenes can be chosen: ${scenes.join(", ")}`);
  const off = () => frame.$eval("#paper", (paper) => paper.shadowRoot.textContent);
  const everything = await off();
  await frame.selectOption("#scene", "laid-up");
  await frame.waitForFunction((everything) => document.querySelector("#paper").shadowRoot.textContent !== everything, everything);
  must(/laid-up/.test(await off()), "the drawing is that of the scene");
  await picture(page, "scene", false);
  await page.click(".tab >> text=/^mistakes.harness$/");
  await frame.waitForSelector("#paper svg text >> text=Tanner");

  await textEditor();
  await command(page, "glimloom: Open the Bench Sheet");
  frame = await inside(page, "table");
  must(/adapter/.test(await frame.$eval("body", (body) => body.textContent)), "the bench sheet opens");
  await picture(page, "sheet", false);

  await page.keyboard.press("Control+w");
  await textEditor();
  await go(page, lineOf(text, "strip  grocer"), 9);
  await command(page, "glimloom: Lights Are Dark: Open the Suspects");
  await page.waitForSelector(".quick-input-list .monaco-list-row >> text=grocer");
  await page.keyboard.press("Enter");
  frame = await inside(page, "h1 >> text=/grocer|[Ss]uspect/");
  must(/grocer/.test(await frame.$eval("body", (body) => body.textContent)), "the suspects of a dark light are listed");
  await picture(page, "suspects", false);

  // By the second name VS Code itself hands a panel the files of its extension.
  const near = /^(127\.0\.0\.1|vscode-remote\+127-002e0-002e0-002e1-.*\.vscode-resource\.vscode-cdn\.net)$/;
  const far = fetched.filter(({ from }) => /^https?:$/.test(from.protocol) && !near.test(from.hostname)).map(({ by, from }) => `${from.origin} by ${by}`);
  must(fetched.some(({ by }) => by === "a panel") && far.length === 0, `nothing is fetched from elsewhere: ${[...new Set(far)].join(", ")}`);
});
