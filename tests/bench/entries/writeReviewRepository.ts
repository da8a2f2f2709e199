/*
 * writeReviewRepository FOLDER RESULTS COMMITS LIST PLAN: a git repository of committed results, by `git fast-import`; what its branch concerns goes into LIST.
 * PLAN says what each test runs through: `every-setting` of its damper, or `two-settings`.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { EVERY_SETTING, reviewRepository, TWO_SETTINGS, type CommittedFile } from '../shared/reviewRepository';
import { tell } from '../shared/outcome';

const [folder = '', results = '', commits = '', list = '', plan] = process.argv.slice(2);
const { main, branch, concerned } = reviewRepository(
  Number(results),
  Number(commits),
  plan === 'two-settings' ? TWO_SETTINGS : EVERY_SETTING,
);

mkdirSync(folder, { recursive: true });
git(['init', '--quiet', '--initial-branch=main'], '');
git(['fast-import', '--quiet', '--done'], stream());
git(['checkout', '--quiet', 'work'], '');
writeFileSync(list, concerned.join('\n'));
tell({ rows: Number(results) });

function stream(): string {
  let at = Date.UTC(2025, 0, 1) / 1000;
  const commit = (ref: string, from: string | undefined, files: readonly CommittedFile[]): string => {
    at += 3600;
    const changes = files.map(({ path, text }) => `M 100644 inline ${path}\n${dataOf(text)}`);
    return `commit refs/heads/${ref}\ncommitter Bench <bench@invalid> ${at} +0000\n${dataOf('Results\n')}${
      from === undefined ? '' : `from ${from}\n`
    }${changes.join('')}\n`;
  };
  const onMain = main.map((files) => commit('main', undefined, files));
  const onBranch = branch.map((files, i) => commit('work', i === 0 ? 'refs/heads/main' : undefined, files));
  return `${[...onMain, ...onBranch].join('')}done\n`;
}

function dataOf(text: string): string {
  return `data ${Buffer.byteLength(text)}\n${text}\n`;
}

function git(args: readonly string[], input: string): void {
  const env = { ...process.env, GIT_CONFIG_GLOBAL: '/dev/null', GIT_CONFIG_NOSYSTEM: '1' };
  const { status, stderr } = spawnSync('git', args, { cwd: folder, input, encoding: 'utf8', env });
  if (status !== 0) throw new Error(`git ${args[0] ?? ''} failed: ${stderr}`);
}
