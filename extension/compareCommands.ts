import * as vscode from 'vscode';
import { REQUEST, type CompareTarget, type TreeNode } from '../src/protocol/requests';
import type { ReviewServer } from './reviewServer';

type Show = (a: string, b: string) => void;

interface Choice extends vscode.QuickPickItem {
  readonly target: string | undefined;
}

/** The commands that hold any two builds, results, logs or revisions against each other. */
export class CompareCommands {
  readonly #server: ReviewServer;
  readonly #show: Show;

  constructor(server: ReviewServer, show: Show) {
    this.#server = server;
    this.#show = show;
  }

  /** Asks for both. */
  async choose(): Promise<void> {
    const a = await this.#pick('First: what is held against (old, reference)', undefined);
    if (a === undefined) return;
    await this.chooseSecond(a);
  }

  /** From a file or a node of the tree: asks for the other. */
  async with(from: unknown): Promise<void> {
    const target = targetOf(from) ?? activeTarget();
    if (target === undefined) await this.choose();
    else await this.chooseSecond(target);
  }

  async chooseSecond(a: string): Promise<void> {
    const b = await this.#pick('Second: what is held against the first (new)', a);
    if (b !== undefined) this.#show(a, b);
  }

  /** Two nodes of the tree, in the order of the tree. */
  async selected(node: unknown, nodes: unknown): Promise<void> {
    const chosen = (Array.isArray(nodes) ? (nodes as unknown[]) : [node]).map(targetOf);
    const [a, b] = chosen;
    if (a !== undefined && b !== undefined) this.#show(a, b);
    else await this.with(node);
  }

  /** Both sides of the active diff editor. */
  diff(): void {
    const input = vscode.window.tabGroups.activeTabGroup.activeTab?.input;
    if (!(input instanceof vscode.TabInputTextDiff)) {
      void vscode.window.showWarningMessage('Open the difference of a result, a reference or a log first.');
      return;
    }
    this.#show(targetOfSide(input.original), targetOfSide(input.modified));
  }

  async #pick(placeholder: string, other: string | undefined): Promise<string | undefined> {
    const targets = await this.#server.ask(REQUEST.compareTargets, null);
    const choices: Choice[] = [
      ...(vscode.workspace.isTrusted
        ? [{ label: '$(git-commit) A revision…', description: 'PATH@REVISION', target: undefined }]
        : []),
      ...targets.filter(({ target }) => target !== other).map(choiceOf),
    ];
    const chosen = await vscode.window.showQuickPick(choices, {
      title: 'Compare builds, results or revisions',
      placeHolder: placeholder,
      matchOnDescription: true,
    });
    if (chosen === undefined) return undefined;
    return chosen.target ?? askRevision(other);
  }
}

function choiceOf({ label, description, target }: CompareTarget): Choice {
  return { label: label.replaceAll('$(', '$ ('), description: description.replaceAll('$(', '$ ('), target };
}

/** Asked in words, since any revision that git knows will do. */
function askRevision(other: string | undefined): Thenable<string | undefined> {
  return vscode.window.showInputBox({
    title: 'Compare with a revision',
    prompt:
      'A path of the repository or SERIAL/BUILD, then @ and a revision, such as dampers/F-002/build-2/delivery.result.csv@HEAD~1',
    value: `${other ?? activePath() ?? ''}@HEAD`,
    validateInput: (text) => (/^.+@.+$/.test(text) ? undefined : 'Write PATH@REVISION.'),
  });
}

function targetOf(from: unknown): string | undefined {
  if (from instanceof vscode.Uri) return from.toString();
  if (typeof from === 'string') return from;
  if (typeof from !== 'object' || from === null) return undefined;
  const { target, uri } = from as Partial<TreeNode>;
  return target ?? uri;
}

function activeTarget(): string | undefined {
  return vscode.window.activeTextEditor?.document.uri.toString();
}

function activePath(): string | undefined {
  const uri = vscode.window.activeTextEditor?.document.uri;
  return uri === undefined ? undefined : vscode.workspace.asRelativePath(uri, false);
}

/**
 * What `compare` takes for a side of a diff. The editor's git extension names the old side by `git:` with path and revision in the query;
 * an empty revision is the index, which counts as HEAD here since blobs are read by revision.
 */
export function targetOfSide(uri: vscode.Uri): string {
  if (uri.scheme !== 'git') return uri.toString();
  try {
    const { path, ref } = JSON.parse(uri.query) as { readonly path: unknown; readonly ref: unknown };
    if (typeof path !== 'string' || typeof ref !== 'string') return uri.toString();
    const revision = ref === '' || ref.startsWith('~') ? 'HEAD' : ref;
    return `${vscode.Uri.file(path).toString()}@${revision}`;
  } catch {
    return uri.toString();
  }
}
