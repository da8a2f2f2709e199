import * as vscode from 'vscode';
import { REQUEST } from '../src/protocol/requests';
import type { BranchPanel } from './pages/branchPanel';
import type { ReviewServer } from './reviewServer';

/** Opens the page of the branch; asks which repository is meant where several are open. */
export async function reviewBranch(server: ReviewServer, panel: BranchPanel): Promise<void> {
  const nodes = await server.ask(REQUEST.tree, null);
  const repositories = nodes.filter(({ kind }) => kind === 'repository');
  if (repositories.length === 0) {
    panel.show();
    return;
  }
  const chosen = await vscode.window.showQuickPick(
    repositories.map(({ label, id }) => ({ label, description: vscode.Uri.parse(id).path, id })),
    { title: 'Review branch', placeHolder: 'Repository whose branch is reviewed' },
  );
  if (chosen !== undefined) panel.show(chosen.id);
}
