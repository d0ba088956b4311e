// The server's life: started, started again after a crash until it has crashed too often, said so in plain words.
import * as vscode from "vscode";
import {
  CloseAction,
  ErrorAction,
  LanguageClient,
  ResponseError,
  ErrorCodes,
  MessageType,
  RevealOutputChannelOn,
  ShowMessageNotification,
  State as Life,
  type LanguageClientOptions,
} from "vscode-languageclient/node";

import { withRoomInTables } from "./hover";
import { findProgram, NoProgram } from "./program";
import { forServer, programPath, SECTION } from "./settings";

/** So many crashes within so many milliseconds, and it is not started again by itself. */
const CRASHES = 3;
const WITHIN = 3 * 60 * 1000;

/** A server that has not answered by then is one that does not: it takes a moment. */
const ANSWERS_WITHIN = 10 * 1000;

/** What a question of ours was answered with. */
export type Answer<T> = { is: "answer"; value: T } | { is: "unknown" } | { is: "none"; why: string };

export type State = "starting" | "running" | "stopped";

/** The library's client, but for its own messages of what goes wrong: they stand in the log, and what a builder can do something about is said here. */
class Client extends LanguageClient {
  override error(message: string, data?: unknown): void {
    super.error(message, data, false);
  }
}

export class Server implements vscode.Disposable {
  readonly log = vscode.window.createOutputChannel("glimloom");
  private client: Client | undefined;
  private crashes: number[] = [];
  private state: State = "stopped";
  /** Each start ends the one before; what comes late from an earlier one is passed over. */
  private start_ = 0;
  /** Ends a start whose server is gone before it has answered; nothing once it has. */
  private gone: ((why: Error) => void) | undefined;
  private readonly changed = new vscode.EventEmitter<State>();
  readonly onChanged = this.changed.event;

  constructor(private readonly context: vscode.ExtensionContext) {}

  get running(): boolean {
    return this.state === "running";
  }

  /** Starts it, or starts it again; what has crashed before is forgotten. */
  async start(): Promise<void> {
    const start = ++this.start_;
    this.crashes = [];
    await this.end();
    this.become("starting");
    try {
      const wanted = String(this.context.extension.packageJSON.version);
      const program = await findProgram(programPath(), this.context.extensionPath, wanted);
      if (start !== this.start_) {
        return;
      }
      this.log.appendLine(`Starting ${program.path} (glimloom ${program.version}).`);
      const client = this.speakTo(program.path, start);
      this.client = client;
      client.onDidChangeState(({ newState }) => {
        if (start === this.start_ && newState !== Life.Running) {
          this.become(newState === Life.Starting ? "starting" : "stopped");
        } else if (start === this.start_) {
          this.gone = undefined;
          // It runs, but knows of the open texts only when the start has come to its end.
          void client.start().then(
            () => start === this.start_ && this.become("running"),
            () => {},
          );
        }
      });
      // In place of the library's own way, which runs several lines into one.
      client.onNotification(ShowMessageNotification.type, ({ type, message }) => show(type, message));
      const late = setTimeout(() => this.isLate(start, program.path), ANSWERS_WITHIN);
      // The library's own promise may be kept or broken for a server that ends before it has answered; that it has ended is known a moment
      // after writing to it has failed.
      const gone = new Promise<never>((_, reject) => (this.gone = reject));
      const failed = (why: unknown) => new Promise<never>((_, reject) => setTimeout(() => reject(why), 500));
      await Promise.race([client.start().catch(failed), gone]).finally(() => clearTimeout(late));
    } catch (why) {
      if (start === this.start_) {
        this.become("stopped");
        await this.cannotStart(why instanceof Error ? why : new Error(String(why)));
      }
    }
  }

  async end(): Promise<void> {
    const client = this.client;
    this.client = undefined;
    // One that has died, or never came up, cannot be asked to end.
    await client?.dispose(2000).catch((why: unknown) => this.log.appendLine(`The server did not end as it should: ${why}`));
  }

  dispose(): void {
    this.start_++;
    void this.end();
    this.changed.dispose();
    this.log.dispose();
  }

  /** Asks a question that is not of the protocol. An older program may not know it. */
  async ask<T>(method: string, params: unknown): Promise<Answer<T>> {
    if (!this.client || !this.running) {
      return { is: "none", why: "The server is not running." };
    }
    try {
      const value = await this.client.sendRequest<T | null>(method, params);
      return value === null ? { is: "none", why: "The plan is not known to the server." } : { is: "answer", value };
    } catch (why) {
      if (why instanceof ResponseError && why.code === ErrorCodes.MethodNotFound) {
        return { is: "unknown" };
      }
      const words = why instanceof Error ? why.message : String(why);
      this.log.appendLine(`${method}: ${words}`);
      return { is: "none", why: words };
    }
  }

  /** Whether the server has a command. */
  has(command: string): boolean {
    return this.client?.initializeResult?.capabilities.executeCommandProvider?.commands.includes(command) ?? false;
  }

  private become(state: State): void {
    if (state !== this.state) {
      this.state = state;
      this.changed.fire(state);
    }
  }

  private speakTo(program: string, start: number): Client {
    const options: LanguageClientOptions = {
      documentSelector: schemes().map((scheme) => ({ language: "harness", scheme })),
      outputChannel: this.log,
      revealOutputChannelOn: RevealOutputChannelOn.Never, // what matters is said
      markdown: { isTrusted: false, supportHtml: false },
      diagnosticPullOptions: { onChange: true, onSave: true, onTabs: true },
      initializationOptions: forServer(JSON.parse(JSON.stringify(vscode.workspace.getConfiguration(SECTION)))),
      initializationFailedHandler: () => false,
      errorHandler: {
        error: () => ({ action: ErrorAction.Continue, handled: true }),
        closed: () => this.closed(start),
      },
      middleware: {
        provideHover: async (document, position, token, next) => withRoomInTables(await next(document, position, token)),
        workspace: {
          configuration: async (params, token, next) => {
            const sections = await next(params, token);
            return Array.isArray(sections) ? sections.map(forServer) : sections;
          },
        },
      },
    };
    const run = { command: program, args: ["serve"] };
    return new Client(SECTION, "glimloom", { run, debug: run }, options);
  }

  /** The server has died. */
  private closed(start: number): { action: CloseAction; handled: boolean } {
    if (start !== this.start_) {
      return { action: CloseAction.DoNotRestart, handled: true };
    }
    if (this.gone) {
      this.gone(new Error("it ended before it had answered"));
      return { action: CloseAction.DoNotRestart, handled: true };
    }
    const now = Date.now();
    this.crashes = [...this.crashes.filter((then) => now - then < WITHIN), now];
    if (this.crashes.length <= CRASHES) {
      this.log.appendLine(`The server has crashed; it is started again (${this.crashes.length} of ${CRASHES}).`);
      return { action: CloseAction.Restart, handled: true };
    }
    this.log.appendLine("The server has crashed too often; it is not started again.");
    this.become("stopped");
    void this.say(
      `glimloom has crashed ${this.crashes.length} times in three minutes and is not started again by itself.`,
      { "Start again": () => this.start(), "Show the log": () => this.log.show() },
    );
    return { action: CloseAction.DoNotRestart, handled: true };
  }

  /** It was started, and says nothing. It may yet come up: it is not ended. */
  private isLate(start: number, program: string): void {
    if (start === this.start_) {
      this.log.appendLine(`${program} does not answer.`);
      void this.say(`${program} was started, but does not answer.`, {
        "Start again": () => this.start(),
        "Open settings": () => vscode.commands.executeCommand("workbench.action.openSettings", "glimloom.path"),
      });
    }
  }

  private async cannotStart(why: Error): Promise<void> {
    this.log.appendLine(why.message);
    const ways: Record<string, () => unknown> = {
      "Open settings": () => vscode.commands.executeCommand("workbench.action.openSettings", "glimloom.path"),
      "How to install": () =>
        vscode.commands.executeCommand("workbench.action.openWalkthrough", `${this.context.extension.id}#first-plan`, false),
      "Try again": () => this.start(),
    };
    const message = why instanceof NoProgram ? why.message : `glimloom does not start: ${why.message}.`;
    void this.say(`${message} Colours work without it; findings, hints and mends need it.`, ways);
  }

  private async say(message: string, ways: Record<string, () => unknown>): Promise<void> {
    const chosen = await vscode.window.showErrorMessage(message, ...Object.keys(ways));
    if (chosen !== undefined) {
      await ways[chosen]?.();
    }
  }
}

/**
 * Files, texts without one, and what the open folders are made of. Other schemes are other views of the same text, as
 * the two sides of a comparison: nothing is to be found there twice.
 */
function schemes(): string[] {
  const folders = (vscode.workspace.workspaceFolders ?? []).map((folder) => folder.uri.scheme);
  return [...new Set(["file", "untitled", ...folders])];
}

/** Shows what the server has to say. What has several lines, as figures scene by scene, stands in a window of its own. */
function show(type: MessageType, message: string): void {
  const ways = { [MessageType.Error]: vscode.window.showErrorMessage, [MessageType.Warning]: vscode.window.showWarningMessage };
  const way: typeof vscode.window.showInformationMessage =
    ways[type as keyof typeof ways] ?? vscode.window.showInformationMessage;
  const [first = "", ...rest] = message.split("\n");
  void (rest.length > 0 ? way(first, { modal: true, detail: rest.join("\n") }) : way(message));
}
