// `npm run editor`: packs the extension, opens a real editor in the browser on a copy of the samples, and stays until Ctrl+C.
import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { installExtension, installHost, startHost } from './host/editorHost.mjs';

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const place = join(root, 'build', 'editor');
const samples = join(place, 'samples');
const git = (...args) =>
  spawnSync('git', ['-c', 'user.name=Samples', '-c', 'user.email=samples@localhost', ...args], {
    cwd: samples,
    stdio: 'ignore',
  });

rmSync(place, { recursive: true, force: true });
mkdirSync(place, { recursive: true });
cpSync(join(root, 'samples'), samples, { recursive: true });
git('init', '--quiet');
git('add', '--all');
git('commit', '--quiet', '--message', 'Samples');

const packed = spawnSync('npm', ['run', 'package', '--silent'], { cwd: root, stdio: ['ignore', 2, 2] });
if (packed.status !== 0) process.exit(packed.status ?? 1);
installHost();
const extensionsFolder = join(place, 'extensions');
installExtension(join(root, 'build/damper-spec-review.vsix'), extensionsFolder);
const host = await startHost({
  userFolder: join(place, 'user'),
  extensionsFolder,
  port: Number(process.env.PORT ?? 8123),
  settings: { 'workbench.startupEditor': 'none', 'extensions.autoUpdate': false },
});
console.log(`Editor on a copy of the samples: ${host.url}/?folder=${encodeURIComponent(samples)}\nCtrl+C ends it.`);
for (const signal of ['SIGINT', 'SIGTERM'])
  process.once(signal, () => {
    void host.stop().then(() => process.exit(0));
  });
