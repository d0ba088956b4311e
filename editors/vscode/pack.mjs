// Packs the extension into glimloom-VERSION.vsix beside this file. A program that lies in `server/` goes in with it; then it is for this
// kind of machine alone.
import { execFileSync } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import "./build.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const top = join(here, "../..");
const manifest = JSON.parse(readFileSync(join(here, "package.json"), "utf8"));
const vsix = join(here, `glimloom-${manifest.version}.vsix`);
const staged = mkdtempSync(join(tmpdir(), "glimloom-vsix-"));
try {
  // What is packed needs none of what it was built with.
  const { devDependencies: _, scripts: __, ...kept } = manifest;
  writeFileSync(join(staged, "package.json"), `${JSON.stringify({ ...kept, files: ["**"] }, null, 2)}\n`);
  for (const name of ["README.md", "language-configuration.json", "icons", "out", "snippets", "syntaxes", "walkthrough"]) {
    cpSync(join(here, name), join(staged, name), { recursive: true });
  }
  for (const name of ["LICENSE-MIT", "LICENSE-APACHE"]) {
    cpSync(join(top, name), join(staged, `${name}.txt`));
  }
  const args = [join(here, "node_modules/@vscode/vsce/vsce"), "package", "--no-dependencies", "--allow-missing-repository", "--skip-license"];
  if (existsSync(join(here, "server"))) {
    cpSync(join(here, "server"), join(staged, "server"), { recursive: true });
    args.push("--target", `${process.platform}-${process.arch}`);
  }
  execFileSync(process.execPath, [...args, "--out", vsix], { cwd: staged, stdio: ["ignore", "ignore", "inherit"] });
} finally {
  rmSync(staged, { recursive: true, force: true });
}
console.log(vsix);
