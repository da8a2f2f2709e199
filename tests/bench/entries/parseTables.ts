/*
 * parseTables FOLDER [REVISION LIST]: the baseline of a review. Reads every file below the folder, or the listed ones after
 * `git diff --stat REVISION`, and hands those that are tables to csv-parse.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { tell } from '../shared/outcome';

const [folder = '', revision, list = ''] = process.argv.slice(2);
const paths = revision === undefined ? below('') : listed(revision);
let rows = 0;
for (const path of paths) {
  const bytes = readFileSync(join(folder, path));
  if (path.endsWith('.csv')) rows += parse(bytes, { comment: '#', comment_no_infix: true }).length;
}
tell({ rows });

function below(under: string): string[] {
  return readdirSync(join(folder, under), { withFileTypes: true }).flatMap((entry) => {
    const path = under === '' ? entry.name : `${under}/${entry.name}`;
    if (entry.name === '.git') return [];
    return entry.isDirectory() ? below(path) : [path];
  });
}

function listed(base: string): readonly string[] {
  const { status, stdout } = spawnSync('git', ['diff', '--stat', base], { cwd: folder, encoding: 'utf8' });
  if (status !== 0 || stdout === '') throw new Error('git diff --stat gave nothing.');
  return readFileSync(list, 'utf8').split('\n');
}
