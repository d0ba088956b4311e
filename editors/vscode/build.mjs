// Bundles the extension and the page of the drawing into `out/`.
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import esbuild from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const common = { absWorkingDir: here, bundle: true, minify: true, legalComments: "none", loader: { ".css": "text" }, logLevel: "warning" };
const { metafile } = await esbuild.build({
  ...common,
  metafile: true,
  entryPoints: ["src/extension.ts"],
  outfile: "out/extension.js",
  external: ["vscode"],
  platform: "node",
  format: "cjs",
  target: "node18",
});
await esbuild.build({
  ...common,
  entryPoints: ["panel/drawing.ts"],
  outfile: "out/drawing.js",
  platform: "browser",
  format: "iife",
  target: "chrome114",
});

// What others wrote goes in with its licence.
const packages = new Set(Object.keys(metafile.inputs).flatMap((file) => file.match(/^.*node_modules\/(?:@[^/]+\/)?[^/]+/)?.[0] ?? []));
const licences = [...packages].sort().map((folder) => {
  const { name, version, license } = JSON.parse(readFileSync(join(here, folder, "package.json"), "utf8"));
  const files = readdirSync(join(here, folder)).filter((file) => /^licen[cs]e/i.test(file));
  if (files.length === 0) {
    throw new Error(`${name} has no licence file`);
  }
  return `${name} ${version} (${license})\n\n${files.map((file) => readFileSync(join(here, folder, file), "utf8").trim()).join("\n\n")}\n`;
});
writeFileSync(join(here, "out/third-party.txt"), licences.join(`\n${"-".repeat(72)}\n\n`));
