// Where the program is, and whether it is one that this extension can speak to.
import { execFile } from "node:child_process";
import { accessSync, constants, statSync } from "node:fs";
import { homedir } from "node:os";
import * as path from "node:path";

export interface Program {
  path: string;
  version: string;
}

/** Says in plain words why there is no program to start. */
export class NoProgram extends Error {}

const NAME = process.platform === "win32" ? "glimloom.exe" : "glimloom";

/** Looks where the setting says; without one, in the extension itself, then on the PATH. */
export async function findProgram(setting: string, extension: string, wanted: string): Promise<Program> {
  if (setting !== "") {
    const named = setting.replace(/^~(?=[\\/])/, homedir());
    if (!path.isAbsolute(named)) {
      throw new NoProgram(`The setting glimloom.path is "${setting}", but takes the whole path of the program.`);
    }
    if (!isProgram(named)) {
      throw new NoProgram(`The setting glimloom.path leads to no program: ${named}`);
    }
    return asked(named, wanted);
  }
  const bundled = path.join(extension, "server", NAME);
  if (isProgram(bundled)) {
    return asked(bundled, wanted);
  }
  // A folder that is no whole path would be looked for in whatever folder happens to be open.
  const folders = (process.env.PATH ?? "").split(path.delimiter).filter((folder) => path.isAbsolute(folder));
  const found = folders.map((folder) => path.join(folder, NAME)).find(isProgram);
  if (found === undefined) {
    throw new NoProgram("The program glimloom is not installed, or not on the PATH.");
  }
  return asked(found, wanted);
}

function isProgram(file: string): boolean {
  try {
    accessSync(file, constants.X_OK);
    return statSync(file).isFile();
  } catch {
    return false;
  }
}

/** Asks a program what it is. */
async function asked(file: string, wanted: string): Promise<Program> {
  const said = await new Promise<string>((resolve, reject) => {
    execFile(file, ["--version"], { timeout: 20_000, windowsHide: true }, (error, stdout) => {
      if (error) {
        reject(new NoProgram(`${file} cannot be started: ${error.message.split("\n", 1)[0]}`));
      } else {
        resolve(stdout.trim());
      }
    });
  });
  const version = /^glimloom (\d+)\.(\d+)\.(\d+)/.exec(said);
  if (!version) {
    throw new NoProgram(`${file} is not glimloom. Asked for its version, it says "${said.slice(0, 60)}".`);
  }
  const is = version.slice(1).map(Number);
  const least = wanted.split(".").map(Number);
  if (isOlder(is, least)) {
    throw new NoProgram(`${file} is glimloom ${is.join(".")}; this extension needs ${wanted} or later.`);
  }
  return { path: file, version: is.join(".") };
}

function isOlder(a: number[], b: number[]): boolean {
  const differs = a.findIndex((part, nth) => part !== b[nth]);
  return differs >= 0 && (a[differs] ?? 0) < (b[differs] ?? 0);
}
