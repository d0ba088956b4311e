// Packs the extension into glimloom-VERSION.vsix beside this file. With a program, `npm run pack -- ../../target/release/glimloom`, that goes
// in with it; then it is for this kind of machine alone, which its name says.
import { execFileSync } from "node:child_process";
import { chmodSync, cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import "./build.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const top = join(here, "../..");
const manifest = JSON.parse(readFileSync(join(here, "package.json"), "utf8"));
const program = process.argv[2] && resolve(process.argv[2]);
const machine = `${process.platform}-${process.arch === "arm" ? "armhf" : process.arch}`;
const vsix = join(here, `glimloom-${manifest.version}${program ? `-${machine}` : ""}.vsix`);
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
  if (program) {
    const packed = join(staged, "server", process.platform === "win32" ? "glimloom.exe" : "glimloom");
    mkdirSync(dirname(packed));
    cpSync(program, packed, { dereference: true });
    chmodSync(packed, 0o755);
    args.push("--target", machine);
  }
  execFileSync(process.execPath, [...args, "--out", vsix], { cwd: staged, stdio: ["ignore", "ignore", "inherit"] });
} finally {
  rmSync(staged, { recursive: true, force: true });
}
console.log(vsix);
