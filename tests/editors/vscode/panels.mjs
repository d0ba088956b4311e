// What stands beside the text. The drawing: it follows what is typed and the cursor, leads to the stanza of what is clicked, is light and dark as the
// editor is.
// With --write the pictures go into docs/pictures.
import { readFileSync, writeFileSync } from "node:fs";
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
  const page = await editor.page({ folder: work, payload: [["openFile", editor.uri(plan)]], width: 1480, height: 760 });
  await page.click(".view-lines");
  await page.keyboard.press("Control+b");
  await page.waitForSelector(".part.sidebar", { state: "hidden" });
  await command(page, "glimloom: Open the Drawing");
  let frame = await inside(page, "#paper svg");
  must(true, "the drawing stands beside the text");
  const items = await frame.$$eval("#paper a[id^=item-]", (anchors) => anchors.length);
  const stanzas = text.match(/^(supply|fuse|switch|joint|strip|lamp) /gm).length;
  must(items === stanzas, `every item is in it: ${items} of ${stanzas}`);
  await page.click(".editor-group-container .view-lines >> nth=0");
  await go(page, lineOf(text, "lamp   street-2"), 9);
  await frame.waitForSelector("#paper a.here text >> text=street-2");
  must(true, "the item that the cursor is in is lit");
  await picture(page, "drawing");
  // The link's own shape may be hollow: its name is what is clicked.
  await frame.click("#paper a[id^=item-] text >> text=attic");
  await page.waitForFunction((line) => document.querySelector(".editor-status-selection, #status\\.editor\\.selection")?.textContent.includes(`Ln ${line},`), lineOf(text, "joint  attic"));
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
});
