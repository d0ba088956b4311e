// Runs the tests of `inside/` in VS Code's own extension host, beside the packed extension.
import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { Editor, must, PATIENCE, temporary } from "./editor.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const work = temporary();
let editor;
try {
  for (const name of ["first", "second", "outside"]) {
    mkdirSync(join(work, name));
  }
  const workspace = join(work, "models.code-workspace");
  writeFileSync(workspace, JSON.stringify({ folders: [{ path: "first" }, { path: "second" }] }));
  // The scenario that is the same for every editor, on the same plans.
  const scenario = (...args) => execFileSync("python3", [join(here, "../scenario.py"), ...args], { stdio: ["ignore", "inherit", "inherit"] });
  const plans = [join(process.env.TOP, "docs/examples/mistakes.harness"), join(here, "../plans/weighbridge.harness"), ...(process.env.PLANS ?? "").split(" ").filter(Boolean)];
  const scenarios = plans.map((plan, n) => {
    const folder = join(work, `first/scenario-${n}`);
    scenario("before", plan, folder);
    return folder;
  });
  // The tests are an extension for the time of the run.
  cpSync(join(here, "inside"), join(work, "inside"), { recursive: true });
  writeFileSync(join(work, "inside/at.json"), JSON.stringify({ work, top: process.env.TOP, program: process.env.GLIMLOOM, patience: PATIENCE, scenarios, only: process.env.ONLY }));
  editor = await Editor.start({
    program: process.env.GLIMLOOM,
    settings: { "files.readonlyInclude": { "**/sealed.harness": true }, "glimloom.trace.server": "messages" },
  });
  const ended = resolvers();
  const said = [];
  const late = setTimeout(() => ended.reject(new Error("FAILED: the tests inside did not end")), 4 * PATIENCE);
  await editor.page({
    workspace,
    payload: [
      ["extensionDevelopmentPath", editor.uri(join(work, "inside"))],
      ["extensionTestsPath", editor.uri(join(work, "inside/index.js"))],
    ],
    before: async (page) => {
      await page.exposeFunction("codeAutomationLog", (type, args) => {
        const line = args.join(" ");
        // What else VS Code has to say is of interest when something fails.
        if (/^(ok |-- |Error: FAILED)/.test(line)) {
          console.log(line);
        } else {
          said.push(line);
        }
      });
      await page.exposeFunction("codeAutomationExit", (code) => ended.resolve(code));
    },
  });
  const code = await ended.promise;
  clearTimeout(late);
  const logs = readdirSync(join(editor.user, "logs"), { recursive: true }).filter((name) => name.endsWith("glimloom.log"));
  const log = logs.map((name) => readFileSync(join(editor.user, "logs", name), "utf8")).join("");
  if (code !== 0) {
    console.log([...said.slice(-20), "-- the log of the extension:", ...log.split("\n").slice(-60)].join("\n"));
  }
  must(code === 0, "all tests inside the extension host");
  if ("the scenario that is the same for every editor".includes(process.env.ONLY ?? "")) {
    scenarios.forEach((folder) => scenario("after", folder));
  }
  must(log.includes("Starting "), `the log says what was started`);
  must(!/No setting is named|passed over/.test(log), "the server is told no setting that it does not know");
} finally {
  await editor?.stop();
  rmSync(work, { recursive: true, force: true });
}

function resolvers() {
  const all = {};
  all.promise = new Promise((resolve, reject) => Object.assign(all, { resolve, reject }));
  return all;
}
