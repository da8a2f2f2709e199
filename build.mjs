// Bundles the product into dist/. One script for every part; run by .ci/ready.mjs before `npm start` and `npm test`.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { build } from 'esbuild';

const production = process.argv.includes('--production');

/** yaml and some others call require() for Node's own modules, which an ES module does not have. */
const requireBanner = {
  js: "import { createRequire as createRequireForBundle } from 'node:module'; const require = createRequireForBundle(import.meta.url);",
};

/** The validator's messages in forty languages: a quarter megabyte that nothing of ours names. The English ones it loads itself. */
const withoutLocales = {
  name: 'without-locales',
  setup: ({ onLoad }) => {
    onLoad({ filter: /[\\/]zod[\\/]v4[\\/]locales[\\/]index[.]js$/ }, () => ({ contents: 'export {};', loader: 'js' }));
  },
};

/** What a build kept of results is of use to the same build alone. */
function digestOfSources() {
  const digest = createHash('sha256').update(readFileSync('package-lock.json'));
  const addBelow = (folder) => {
    for (const entry of readdirSync(folder, { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) addBelow(path);
      else digest.update(`${path}\n`).update(readFileSync(path));
    }
  };
  addBelow('src');
  return digest.digest('hex');
}

/** Tracing inside the library of special functions: loaded, it asks for a terminal and reads the environment, 4 ms of every start, to say nothing. */
const withoutTracing = {
  name: 'without-tracing',
  setup: ({ onResolve, onLoad }) => {
    onResolve({ filter: /^debug$/ }, () => ({ path: 'debug', namespace: 'without-tracing' }));
    onLoad({ filter: /^debug$/, namespace: 'without-tracing' }, () => ({
      contents: 'module.exports = () => () => undefined;',
      loader: 'js',
    }));
  },
};

/** commander asks for Node's processes for the sake of commands that are programs of their own, which ours are not: 2 ms of every start. */
const withoutPrograms = {
  name: 'without-programs',
  setup: ({ onResolve, onLoad }) => {
    onResolve({ filter: /^node:child_process$/ }, ({ importer }) =>
      /[\\/]commander[\\/]/.test(importer) ? { path: 'child_process', namespace: 'without-programs' } : undefined,
    );
    onLoad({ filter: /^child_process$/, namespace: 'without-programs' }, () => ({
      contents: 'module.exports = {};',
      loader: 'js',
    }));
  },
};

const shared = {
  bundle: true,
  plugins: [withoutLocales, withoutTracing, withoutPrograms],
  minify: production,
  keepNames: false,
  sourcemap: production ? false : 'linked',
  target: ['node20'],
  logLevel: 'warning',
  metafile: true,
  legalComments: 'none',
  define: {
    PRODUCT_VERSION: JSON.stringify(JSON.parse(readFileSync('package.json', 'utf8')).version),
    PRODUCT_BUILD: JSON.stringify(digestOfSources()),
  },
};

rmSync('dist', { recursive: true, force: true });
/**
 * The command line: one script for everything but Vega, so that V8's compiled code can be kept beside it, and the files that Node.js starts.
 * esbuild writes ASCII unless told otherwise; start.ts reads the script as such. Minified in every build: 6 ms less of each start.
 */
const nodeScript = {
  ...shared,
  minify: true,
  platform: 'node',
  format: 'cjs',
  outExtension: { '.js': '.cjs' },
  outdir: 'dist',
};
const drawing = await build({
  ...nodeScript,
  stdin: {
    contents:
      "export * from 'vega'; export { compile } from 'vega-lite'; export { expressionInterpreter } from 'vega-interpreter';",
    resolveDir: '.',
    sourcefile: 'drawing.js',
  },
  // Its build for browsers asks for no canvas of Node.js, which is not shipped, and for whose answer a script could not wait.
  alias: { 'vega-canvas': './node_modules/vega-canvas/build/vega-canvas.browser.js' },
  outdir: undefined,
  outfile: 'dist/drawing.cjs',
});
const withDrawingApart = {
  name: 'with-drawing-apart',
  setup: ({ onResolve }) => {
    onResolve({ filter: /^vega(-lite|-interpreter)?$/ }, () => ({ path: './drawing.cjs', external: true }));
  },
};
const commandLine = await build({
  ...nodeScript,
  plugins: [...shared.plugins, withDrawingApart],
  entryPoints: { 'command-line': 'src/cli/bundle.ts' },
  entryNames: '[name]-[hash]', // compiled code goes with this source alone
  supported: { 'dynamic-import': false }, // a script has no import(): it would need a loader of its own
  define: { ...shared.define, 'import.meta.url': 'started.href' },
  banner: { js: "(function (require, started) { 'use strict'; const module = { exports: {} };" },
  footer: { js: 'return module.exports; })' },
});
const script = Object.keys(commandLine.metafile.outputs).find((file) => file.endsWith('.cjs'));
const starters = await Promise.all(
  Object.entries({ 'damper-review': 'main', logWorker: 'logWorker' }).map(([name, entry]) =>
    build({
      ...nodeScript,
      entryPoints: { [name]: 'src/cli/start.ts' },
      sourcemap: false,
      define: { BUNDLE_NAME: JSON.stringify(basename(script, '.cjs')), BUNDLE_ENTRY: JSON.stringify(entry) },
    }),
  ),
);
/** The language server and its log worker for Node.js; parts bear a name of their own, so that the extension can be packed without the command line. */
const server = await build({
  ...shared,
  entryPoints: { server: 'src/server/nodeServer.ts', serverLogWorker: 'src/server/logWorker.ts' },
  platform: 'node',
  format: 'esm',
  splitting: true,
  outdir: 'dist',
  outExtension: { '.js': '.mjs' },
  chunkNames: 'server-part-[hash]',
  banner: requireBanner,
});
/** The same server as the worker of an editor in the browser: one file, since a worker there loads no parts. */
const webServer = await build({
  ...shared,
  entryPoints: ['src/server/browserServer.ts'],
  alias: { 'csv-parse/sync': 'csv-parse/browser/esm/sync' }, // the build of csv-parse that brings what it needs of Node.js along
  platform: 'browser',
  format: 'iife',
  target: ['chrome122'],
  outfile: 'dist/server.web.js',
});
/** The editor's side. The hosts load CommonJS; `vscode` is theirs. */
const extension = { ...shared, format: 'cjs', external: ['vscode'] };
/**
 * The language client stands in a file of its own, which is read when the server is started: most wakings end with a look at a file's name, and
 * reading 465 kB for it took four times as long as 29 kB (`npm run bench -- editor`).
 */
const clientApart = {
  name: 'client-apart',
  setup: ({ onResolve }) => {
    onResolve({ filter: /^vscode-languageclient(?:[/]node)?$/ }, ({ kind }) =>
      kind === 'entry-point' ? undefined : { path: './languageClient.cjs', external: true },
    );
  },
};
const nodeClient = await build({
  ...extension,
  entryPoints: ['extension/nodeMain.ts'],
  plugins: [...shared.plugins, clientApart],
  supported: { 'dynamic-import': false }, // the host looks into require() alone
  platform: 'node',
  outfile: 'dist/extension.cjs',
});
const languageClient = await build({
  ...extension,
  entryPoints: ['vscode-languageclient/node'],
  platform: 'node',
  outfile: 'dist/languageClient.cjs',
});
const webClient = await build({
  ...extension,
  entryPoints: ['extension/webMain.ts'],
  platform: 'browser',
  target: ['es2023'],
  outfile: 'dist/extension.web.js',
});
/** One bundle for every page. Its own charts set every colour, so the themes that come with vega-embed stay out. */
const pages = await build({
  ...shared,
  entryPoints: { page: 'webview/main.ts', 'page-style': 'webview/page.css' },
  platform: 'browser',
  format: 'iife',
  target: ['chrome122'],
  outdir: 'dist/webview',
  alias: { 'vega-themes': './webview/noThemes.ts' },
});
renameSync('dist/webview/page-style.css', 'dist/webview/page.css');
mkdirSync('build', { recursive: true });
writeFileSync(
  'build/metafile.json',
  JSON.stringify(
    [commandLine, drawing, ...starters, server, webServer, nodeClient, languageClient, webClient, pages].map(
      ({ metafile }) => metafile,
    ),
  ),
);

const compiling = spawnSync(process.execPath, ['.ci/compileAhead.mjs', script, script.replace('.cjs', '.compiled')], {
  stdio: ['ignore', 'ignore', 'inherit'],
});
if (compiling.status !== 0) throw new Error('The command line does not run over the samples.');
