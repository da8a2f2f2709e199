import * as vscode from 'vscode';
import type { TreeNode } from '../src/protocol/requests';
import type { ReviewTree } from './reviewTree';
import { verdictBadge, type Verdict } from './verdictLook';

/** Marks results that fail or are undecided in the explorer, from what the tree was told. */
export class ExplorerBadges implements vscode.FileDecorationProvider, vscode.Disposable {
  readonly #changed = new vscode.EventEmitter<undefined>();
  readonly #listening: vscode.Disposable[];
  #verdicts = new Map<string, Verdict>();

  readonly onDidChangeFileDecorations = this.#changed.event;

  constructor(tree: ReviewTree) {
    this.#listening = [
      tree.onDidChangeTreeData(() => {
        this.#take(tree.nodes);
      }),
      vscode.workspace.onDidChangeConfiguration((event) => {
        if (event.affectsConfiguration('damperReview.explorerBadges')) this.#changed.fire(undefined);
      }),
      vscode.window.registerFileDecorationProvider(this),
    ];
  }

  provideFileDecoration(uri: vscode.Uri): vscode.FileDecoration | undefined {
    const verdict = this.#verdicts.get(uri.toString());
    const wanted = vscode.workspace.getConfiguration('damperReview').get<boolean>('explorerBadges', true);
    return verdict === undefined || !wanted ? undefined : verdictBadge(verdict);
  }

  #take(nodes: readonly TreeNode[]): void {
    this.#verdicts = new Map(resultsOf(nodes).map(([uri, verdict]) => [vscode.Uri.parse(uri).toString(), verdict]));
    this.#changed.fire(undefined);
  }

  dispose(): void {
    for (const one of this.#listening) one.dispose();
    this.#changed.dispose();
  }
}

function resultsOf(nodes: readonly TreeNode[]): [string, Verdict][] {
  return nodes.flatMap(({ kind, uri, verdict, children }) => [
    ...(kind === 'result' && uri !== undefined && verdict !== undefined ? [[uri, verdict] as [string, Verdict]] : []),
    ...resultsOf(children),
  ]);
}
