import * as vscode from 'vscode';
import { REQUEST, type TreeNode } from '../src/protocol/requests';
import { reviewBranch } from './branchCommand';
import { CompareCommands } from './compareCommands';
import { EditCommands } from './editCommands';
import { ExplorerBadges } from './explorerBadges';
import { whenNeeded } from './needed';
import { BRANCH_VIEW, BranchPanel } from './pages/branchPanel';
import { LOG_VIEW, LogEditor } from './pages/logEditor';
import { ADJUSTERS, COMPARISON } from './pages/pageKinds';
import { openAtLine, type PageSurroundings } from './pages/pageHost';
import { PREVIEW_VIEW, PreviewPanel } from './pages/previewPanel';
import { QuestionPanels } from './pages/questionPanel';
import { ReviewServer, type MakeClient } from './reviewServer';
import { ReviewTree } from './reviewTree';
import { StatusItem } from './statusItem';

/** Sets the client up. Nothing is started before a folder or file of ours, or a command, asks for it. */
export function activateWith(context: vscode.ExtensionContext, makeClient: MakeClient): void {
  const log = vscode.window.createOutputChannel('Damper Spec Review', { log: true });
  const server = new ReviewServer(context, makeClient, log);
  const around: PageSurroundings = {
    extensionUri: context.extensionUri,
    log,
    compare: (a, b) => {
      comparison.show({ page: 'comparison', a, b });
    },
  };
  const comparison = new QuestionPanels(COMPARISON, server, around);
  const adjusters = new QuestionPanels(ADJUSTERS, server, around);
  const branch = new BranchPanel(server, around);
  const preview = new PreviewPanel(context, server, around);
  const tree = new ReviewTree(server);
  const status = new StatusItem(server);
  context.subscriptions.push(log, server, comparison, adjusters, branch, preview, tree, status);
  context.subscriptions.push(
    new ExplorerBadges(tree),
    vscode.window.createTreeView('damperReview.builds', { treeDataProvider: tree, canSelectMany: true }),
    vscode.window.registerWebviewPanelSerializer(PREVIEW_VIEW, preview),
    vscode.window.registerWebviewPanelSerializer(BRANCH_VIEW, branch),
    ...[comparison, adjusters].map((panels, i) =>
      vscode.window.registerWebviewPanelSerializer([COMPARISON, ADJUSTERS][i]!.viewType, panels),
    ),
    vscode.window.registerCustomEditorProvider(LOG_VIEW, new LogEditor(server, around)),
    vscode.workspace.onDidGrantWorkspaceTrust(() => {
      if (server.started) void server.restart();
    }),
    ...commands({
      preview: (from: unknown) => withFile(from, (uri) => preview.open(uri)),
      lockPreview: () => preview.toggleLock(),
      showAdjusters: (from: unknown) =>
        withFile(from, (uri) => {
          adjusters.show({ page: 'adjusters', uri: uri.toString() });
        }),
      openLogAsChart: (from: unknown) =>
        withFile(from, (uri) => vscode.commands.executeCommand('vscode.openWith', uri, LOG_VIEW)),
      branchReview: () => reviewBranch(server, branch),
      openFile: (node: TreeNode) => (node.uri === undefined ? undefined : openAtLine(node.uri, node.line ?? 1)),
      goOn: () => server.ask(REQUEST.goOn, null),
      restartServer: () => server.restart(),
      showOutput: () => {
        log.show();
      },
      ...compareCommands(new CompareCommands(server, around.compare)),
      ...editCommands(new EditCommands(server)),
    }),
  );
  whenNeeded(() => {
    startShown(server, tree, status).catch((error: unknown) => {
      log.error(`The server did not start: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`);
      log.show(true);
    });
  }, context.subscriptions);
}

async function startShown(server: ReviewServer, tree: ReviewTree, status: StatusItem): Promise<void> {
  await server.start();
  await Promise.all([tree.getChildren(), status.refresh()]);
}

type Handler = (...parameters: never[]) => unknown;

function compareCommands(compare: CompareCommands): Record<string, Handler> {
  return {
    compare: () => compare.choose(),
    compareWith: (from: unknown) => compare.with(from),
    compareSelected: (node: unknown, nodes: unknown) => compare.selected(node, nodes),
    compareDiff: () => {
      compare.diff();
    },
  };
}

function editCommands(edits: EditCommands): Record<string, Handler> {
  return {
    reduce: (from: unknown) => edits.reduce(from),
    adopt: (from: unknown) => edits.adopt(from),
    waive: (from: unknown, rule: unknown) => edits.waive(from, rule),
  };
}

function commands(handlers: Record<string, Handler>): vscode.Disposable[] {
  return Object.entries(handlers).map(([name, handler]) =>
    vscode.commands.registerCommand(`damperReview.${name}`, async (...parameters: unknown[]) => {
      try {
        await handler(...(parameters as never[]));
      } catch (error) {
        void vscode.window.showErrorMessage(error instanceof Error ? error.message : String(error));
      }
    }),
  );
}

/** The file that a command is for: its argument, a node of the tree, else what is active. */
async function withFile(from: unknown, act: (uri: vscode.Uri) => unknown): Promise<void> {
  const uri = fileOf(from) ?? activeFile();
  if (uri === undefined) {
    void vscode.window.showInformationMessage('Open a result, a reference curve, a test log or a spec first.');
    return;
  }
  await act(uri);
}

function fileOf(from: unknown): vscode.Uri | undefined {
  if (from instanceof vscode.Uri) return from;
  if (typeof from === 'string') return vscode.Uri.parse(from);
  if (typeof from !== 'object' || from === null) return undefined;
  const { uri } = from as Partial<TreeNode>;
  return typeof uri === 'string' ? vscode.Uri.parse(uri) : undefined;
}

function activeFile(): vscode.Uri | undefined {
  const input = vscode.window.tabGroups.activeTabGroup.activeTab?.input;
  if (input instanceof vscode.TabInputText || input instanceof vscode.TabInputCustom) return input.uri;
  return vscode.window.activeTextEditor?.document.uri;
}
