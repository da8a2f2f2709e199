// Extensions of the tests' own that are installed beside ours, packed as any other.
import { spawnSync } from 'node:child_process';
import { cpSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const companions = join(dirname(dirname(fileURLToPath(import.meta.url))), 'companions');
const vsce = createRequire(import.meta.url).resolve('@vscode/vsce/vsce');

/** Packs a companion in a new folder, with more files beside its own where given, and returns the packed file. */
export function packCompanion(name, folder, more = {}) {
  const place = join(folder, name);
  cpSync(join(companions, name), place, { recursive: true });
  for (const [path, text] of Object.entries(more)) writeFileSync(join(place, path), text);
  const packed = join(folder, `${name}.vsix`);
  const choices = ['--no-dependencies', '--allow-missing-repository', '--skip-license', '--allow-star-activation'];
  const done = spawnSync(process.execPath, [vsce, 'package', ...choices, '--out', packed], {
    cwd: place,
    encoding: 'utf8',
  });
  if (done.status !== 0) throw new Error(`The companion ${name} could not be packed:\n${done.stdout}\n${done.stderr}`);
  return packed;
}
