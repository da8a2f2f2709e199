import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { RevisionFault } from '../../ports/revisions';
import { systemCode } from './fileErrors';
import { GitCommand } from './gitCommand';

const BEGIN = '# Damper Spec Review: tables in git diff, written by damper-review git-diff --install';
const END = '# Damper Spec Review: end';
const ATTRIBUTES = ['*.result.csv diff=damper', '*.refcurve.csv diff=damper'];
const KEY = 'diff.damper.command';

/**
 * Makes plain `git diff` of one clone show results and references through `command`: a key of its own configuration and its own attributes
 * file, neither of which is committed or cloned. What else stands in both is left alone.
 *
 * @param command as git gives it to its shell
 * @throws RevisionFault where this is no clone, or it cannot be written
 */
export async function installGitDiff(folder: string, command: string): Promise<string> {
  const git = new GitCommand(folder);
  const file = await attributesFile(git, folder);
  write(file, [...withoutOurs(read(file)), BEGIN, ...ATTRIBUTES, END]);
  await configure(git, ['--replace-all', KEY, command], [0]);
  return file;
}

/** Takes away what `installGitDiff` wrote; where nothing is there, nothing happens. @throws as `installGitDiff` */
export async function uninstallGitDiff(folder: string): Promise<string> {
  const git = new GitCommand(folder);
  const file = await attributesFile(git, folder);
  const before = read(file);
  const after = withoutOurs(before);
  if (after.length === 0 && before.length > 0) rmSync(file, { force: true });
  else if (after.length < before.length) write(file, after);
  await configure(git, ['--unset-all', KEY], [0, 5]); // 5: there was none
  return file;
}

async function attributesFile(git: GitCommand, folder: string): Promise<string> {
  const { status, out, err } = await git.run('rev-parse', ['--git-path', 'info/attributes']);
  if (status !== 0)
    throw new RevisionFault(
      `This folder is no work tree of a git repository (${err.replace(/^fatal: /u, '').slice(0, 200)}).`,
      'Run it inside a clone.',
    );
  return resolve(folder, out.toString('utf8').trim());
}

async function configure(git: GitCommand, args: readonly string[], fine: readonly number[]): Promise<void> {
  const { status, err } = await git.run('config', ['--local', ...args]);
  if (status === null || !fine.includes(status))
    throw new RevisionFault(
      `git could not change its configuration: ${err.slice(0, 200)}`,
      'Look at .git/config, then try again.',
    );
}

function read(file: string): readonly string[] {
  try {
    return readFileSync(file, 'utf8')
      .replace(/\n$/u, '')
      .split('\n')
      .filter((line, _, all) => all.length > 1 || line !== '');
  } catch (error) {
    if (systemCode(error) === 'ENOENT') return [];
    throw error;
  }
}

function withoutOurs(lines: readonly string[]): readonly string[] {
  const [from, to] = [lines.indexOf(BEGIN), lines.indexOf(END)];
  return from < 0 || to < from ? lines : [...lines.slice(0, from), ...lines.slice(to + 1)];
}

function write(file: string, lines: readonly string[]): void {
  const unfinished = `${file}.${process.pid}.unfinished`;
  mkdirSync(dirname(file), { recursive: true });
  try {
    writeFileSync(unfinished, `${lines.join('\n')}\n`, { flag: 'wx' });
    renameSync(unfinished, file);
  } finally {
    rmSync(unfinished, { force: true });
  }
}
