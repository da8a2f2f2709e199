import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { installGitDiff, uninstallGitDiff } from '../platform/node/gitDiffInstall';
import { renderGitDiff } from '../reports/gitDiffText';
import { diffTables } from '../session/tableDiff';
import { escapeTerminal } from '../text/terminal';
import { CommandFailure } from './failure';
import { outputTerminal, print } from './standardStreams';

export interface GitDiffOptions {
  readonly install?: boolean;
  readonly uninstall?: boolean;
}

/** `git-diff`: installs or takes away the tables of `git diff`; with git's own arguments it is what git starts for each file. */
export async function runGitDiff(args: readonly string[], options: GitDiffOptions): Promise<void> {
  if (options.install === true && options.uninstall !== true && args.length === 0) {
    const file = await installGitDiff(process.cwd(), ownCommand());
    await print(
      `git diff shows results and reference curves as tables in this clone (diff.damper.command, ${escapeTerminal(file)}). git diff --no-ext-diff shows their lines.\n`,
    );
  } else if (options.uninstall === true && options.install !== true && args.length === 0) {
    await uninstallGitDiff(process.cwd());
    await print('git diff shows plain lines again in this clone.\n');
  } else if (args.length === 1 || args.length === 7 || args.length === 9) await showFile(args);
  else
    throw new CommandFailure(
      'Say --install or --uninstall. Without them this command is for git, which gives it seven arguments.',
    );
}

/**
 * Git gives path, file, object and mode of the old state, the same of the new one, and for a rename its new path; a path alone where it is not
 * merged (gitdiff: "GIT_EXTERNAL_DIFF").
 */
async function showFile([path = '', oldFile, , , newFile, , , newPath]: readonly string[]): Promise<void> {
  if (oldFile === undefined || newFile === undefined) {
    await print(`* ${escapeTerminal(path)} is not merged yet\n`);
    return;
  }
  const [before, after] = [stateOf(oldFile), stateOf(newFile)];
  const diff = diffTables(newPath ?? path, before, after);
  const lines = (bytes: Uint8Array | undefined): readonly string[] =>
    bytes === undefined ? [] : new TextDecoder().decode(bytes).replace(/\n$/u, '').split(/\r?\n/u);
  const change = before === undefined ? 'added' : after === undefined ? 'removed' : 'changed';
  const from = newPath !== undefined && newPath !== path ? { from: path } : {};
  const content = { ...diff, ...from, change, lines: { before: lines(before), after: lines(after) } } as const;
  const isColoured = outputTerminal() !== undefined || process.env['GIT_PAGER_IN_USE'] === 'true';
  await print(renderGitDiff(content, isColoured));
}

function stateOf(file: string): Uint8Array | undefined {
  return file === '/dev/null' || file === 'nul' ? undefined : readFileSync(file);
}

/** This program as git's shell starts it, wherever it lies. */
function ownCommand(): string {
  const program = fileURLToPath(new URL('./damper-review.cjs', import.meta.url));
  return [process.execPath, program].map(shellQuoted).join(' ') + ' git-diff';
}

function shellQuoted(text: string): string {
  return `'${text.replaceAll('\\', '/').replaceAll("'", `'\\''`)}'`;
}
