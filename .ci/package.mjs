// Packs the built extension as build/damper-spec-review.vsix and holds it to its sizes. Run by `npm run package` after a production build.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const LARGEST = { package: 1_600_000, page: 900_000 };
const root = dirname(dirname(fileURLToPath(import.meta.url)));
const packed = join(root, 'build', 'damper-spec-review.vsix');
mkdirSync(dirname(packed), { recursive: true });

for (const needed of [
  'dist/extension.cjs',
  'dist/languageClient.cjs',
  'dist/extension.web.js',
  'dist/server.mjs',
  'dist/server.web.js',
  'dist/webview/page.js',
])
  if (!existsSync(join(root, needed))) fail(`${needed} is missing: the build did not make it.`);

/** The files of dist/ that a built file loads, itself included, as the build wrote them down. */
function loadedBy(entry) {
  const outputs = Object.assign(
    {},
    ...JSON.parse(readFileSync(join(root, 'build/metafile.json'), 'utf8')).map((m) => m.outputs),
  );
  const reached = new Set([entry]);
  for (const file of reached)
    for (const { path, external } of outputs[file]?.imports ?? []) if (!external) reached.add(path);
  return [...reached];
}
const ignoreFile = join(root, 'build', 'vscodeignore');
const workers = ['dist/serverLogWorker.mjs'].filter((file) => existsSync(join(root, file)));
const code = new Set(['dist/server.mjs', ...workers].flatMap(loadedBy));
writeFileSync(
  ignoreFile,
  `${readFileSync(join(root, '.vscodeignore'), 'utf8')}${[...code].map((file) => `!${file}\n`).join('')}`,
);

const vsce = join(root, 'node_modules', '@vscode', 'vsce', 'vsce');
const done = spawnSync(
  process.execPath,
  [
    vsce,
    'package',
    '--no-dependencies',
    '--allow-missing-repository',
    '--no-rewrite-relative-links',
    '--ignoreFile',
    ignoreFile,
    '--out',
    packed,
  ],
  { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] },
);
if (done.status !== 0) fail('vsce did not pack the extension.');

const sizes = { package: statSync(packed).size, page: statSync(join(root, 'dist/webview/page.js')).size };
for (const [what, most] of Object.entries(LARGEST)) {
  console.log(`${what}: ${sizes[what]} bytes of at most ${most}`);
  if (sizes[what] > most) fail(`The ${what} is larger than ${most} bytes.`);
}

function fail(message) {
  console.error(message);
  process.exit(1);
}
