import * as vscode from 'vscode';
import { REQUEST, type TreeNode } from '../src/protocol/requests';
import type { ReviewServer } from './reviewServer';
import { verdictIcon } from './verdictLook';

const ICONS: Readonly<Record<TreeNode['kind'], string>> = {
  repository: 'repo',
  spec: 'checklist',
  damper: 'symbol-constant',
  build: 'tools',
  result: 'graph-line',
};

/** Specs, dampers, builds and results with their verdicts, as the server last told; asks again after each published set. */
export class ReviewTree implements vscode.TreeDataProvider<TreeNode>, vscode.Disposable {
  readonly #server: ReviewServer;
  readonly #changed = new vscode.EventEmitter<void>();
  readonly #listening: vscode.Disposable;
  #nodes: readonly TreeNode[] | undefined;
  #asked = 0;

  readonly onDidChangeTreeData = this.#changed.event;

  constructor(server: ReviewServer) {
    this.#server = server;
    this.#listening = server.onChanged(() => void this.#refresh());
  }

  /** The nodes as last told. */
  get nodes(): readonly TreeNode[] {
    return this.#nodes ?? [];
  }

  async getChildren(node?: TreeNode): Promise<TreeNode[]> {
    if (node !== undefined) return [...node.children];
    if (this.#nodes === undefined) await this.#ask();
    return [...this.nodes];
  }

  getTreeItem(node: TreeNode): vscode.TreeItem {
    const { None, Collapsed, Expanded } = vscode.TreeItemCollapsibleState;
    const state = node.children.length === 0 ? None : node.kind === 'build' ? Collapsed : Expanded;
    const item = new vscode.TreeItem(node.label, state);
    item.id = node.id;
    item.iconPath = node.verdict === undefined ? new vscode.ThemeIcon(ICONS[node.kind]) : verdictIcon(node.verdict);
    if (node.description !== undefined) item.description = node.description;
    if (node.tooltip !== undefined) item.tooltip = node.tooltip; // plain text, never markdown
    const can = [...(node.uri === undefined ? [] : ['opens']), ...(node.target === undefined ? [] : ['compares'])];
    item.contextValue = [node.kind, ...can].join(' ');
    if (node.uri !== undefined)
      item.command = { command: 'damperReview.openFile', title: 'Open File', arguments: [node] };
    const said = node.verdict === undefined ? [node.label] : [node.label, node.verdict];
    item.accessibilityInformation = { label: [...said, node.description ?? ''].filter((t) => t !== '').join(', ') };
    return item;
  }

  async #ask(): Promise<void> {
    const question = ++this.#asked;
    const nodes = await this.#server.ask(REQUEST.tree, null);
    if (question === this.#asked) this.#nodes = nodes;
  }

  async #refresh(): Promise<void> {
    await this.#ask();
    this.#changed.fire();
  }

  dispose(): void {
    this.#listening.dispose();
    this.#changed.dispose();
  }
}
