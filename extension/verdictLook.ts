import * as vscode from 'vscode';
import type { TreeNode } from '../src/protocol/requests';

export type Verdict = NonNullable<TreeNode['verdict']>;

interface Look {
  readonly icon: string;
  readonly badge: string;
  readonly colour: string;
}

/** A verdict is a shape and a letter first; colour only adds to it. */
const LOOKS: Readonly<Record<Verdict, Look>> = {
  pass: { icon: 'pass', badge: '', colour: 'testing.iconPassed' },
  undecided: { icon: 'question', badge: '?', colour: 'editorInfo.foreground' },
  fail: { icon: 'error', badge: '✕', colour: 'editorError.foreground' },
};

export function verdictIcon(verdict: Verdict): vscode.ThemeIcon {
  const { icon, colour } = LOOKS[verdict];
  return new vscode.ThemeIcon(icon, new vscode.ThemeColor(colour));
}

export function statusIcon(verdict: Verdict): string {
  return `$(${LOOKS[verdict].icon})`;
}

/** Undefined for a pass: only what needs a look is marked in the explorer. */
export function verdictBadge(verdict: Verdict): vscode.FileDecoration | undefined {
  const { badge, colour } = LOOKS[verdict];
  if (badge === '') return undefined;
  return new vscode.FileDecoration(badge, `Damper Spec Review: ${verdict}`, new vscode.ThemeColor(colour));
}
