// What a builder sees in the text: squiggles, hover, hints, lines above stanzas, the load in the status bar, the branching fix before and
// after. Each step is asserted on the page and kept as a picture; with --write the pictures go into docs/pictures.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { BARE, go, lineOf, must, picture, THEMES, withEditor } from "./editor.mjs";

const text = readFileSync(join(process.env.TOP, "docs/examples/mistakes.harness"), "utf8");
const settings = { ...BARE, "workbench.colorTheme": THEMES.night };
await withEditor({ program: process.env.GLIMLOOM, settings }, async (editor, work) => {
  const plan = join(work, "mistakes.harness");
  writeFileSync(plan, text);
  const page = await editor.page({ folder: work, payload: [["openFile", editor.uri(plan)]], width: 1120, height: 600 });
  await page.click(".view-lines");
  await page.keyboard.press("Control+b");
  await page.waitForSelector(".part.sidebar", { state: "hidden" });
  await go(page, lineOf(text, "strip  baker"), 9);
  await page.waitForSelector(".squiggly-error", { state: "attached" });
  await page.waitForSelector(".squiggly-warning", { state: "attached" });
  must(true, "findings are underlined");
  await page.waitForSelector(".codelens-decoration >> text=614 mA of 500 mA");
  must(true, "a line above the supply says what it gives");
  await page.waitForSelector(".view-line >> text=/12\\sV\\s[\\d.]+\\smA/");
  must(true, "hints stand behind the lights");
  await page.waitForSelector('.statusbar-item >> text=614 mA of 500 mA');
  const colour = await page.$eval("#glimloom\\.glimloom\\.glimloom\\.load", (item) => getComputedStyle(item).backgroundColor).catch(() => "");
  must(colour !== "" && colour !== "rgba(0, 0, 0, 0)", `the load that is too much stands out in the status bar: ${colour}`);
  await picture(page, "findings");

  await page.keyboard.press("Control+k");
  await page.keyboard.press("Control+i");
  const hover = await page.waitForSelector(".monaco-hover:visible >> text=/If it breaks/");
  must(/mA/.test(await hover.evaluate((element) => element.closest(".monaco-hover").textContent)), "hover tells the figures");
  await picture(page, "hover");
  await page.keyboard.press("Escape");

  await page.keyboard.press("Control+.");
  const menu = await page.waitForSelector(".action-widget .monaco-list");
  const titles = await menu.$$eval(".monaco-list-row", (rows) => rows.map((row) => row.textContent));
  must(titles.some((title) => /^branch draper and grocer from cellar/.test(title)), `the branching fix is offered: ${titles.find((title) => title.startsWith("branch"))}`);
  const cut = await menu.$$eval(".monaco-list-row .title", (rows) => rows.filter((row) => row.scrollWidth > row.clientWidth + 1).map((row) => row.textContent));
  must(cut.length === 0, `no title is cut off: ${cut.join("; ")}`);
  await picture(page, "fix");
  await page.click(".action-widget .monaco-list-row >> text=/^branch draper and grocer/");
  await page.waitForFunction(() => /draper of warm 15 lamps.*from cellar over 340 mm/.test(document.querySelector(".view-lines").textContent.replaceAll("\u00a0", " ")));
  must(true, "the lights are branched");
  await page.waitForFunction(() => document.getElementById("status.problems").textContent.trim().endsWith("1"));
  must(true, "and the finding is gone");
  await picture(page, "fixed");
});
