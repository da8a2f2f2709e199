/* Loads the packed extension's code and activates it in a window without a file of ours: milliseconds of both, in a host that does nothing. */
import { readFileSync } from 'node:fs';
import Module, { createRequire } from 'node:module';
import { tell } from '../shared/outcome';

type Load = (request: string, ...more: unknown[]) => unknown;
const loader = Module as unknown as { _load: Load };
const original = loader._load;
const asked: string[] = [];

/** Whatever is asked of it is there, can be called, made and extended, and does nothing. */
function nothing(name: string): unknown {
  const stand = function (): void {
    // the editor's part is not what is measured
  };
  return new Proxy(stand, {
    get: (_, key) => {
      if (key === 'then') return undefined;
      if (key === Symbol.iterator) return [][Symbol.iterator].bind([]);
      if (key === Symbol.toPrimitive) return () => name;
      if (key === 'prototype') return stand.prototype as unknown;
      if (typeof key === 'string' && ['textDocuments', 'workspaceFolders', 'visibleTextEditors', 'all'].includes(key))
        return [];
      return nothing(`${name}.${String(key)}`);
    },
    set: () => true,
    apply: () => {
      asked.push(name);
      return nothing(`${name}()`);
    },
    construct: () => nothing(`new ${name}`) as object,
  });
}

/** A bundle copies what the editor's module has by name: every name that stands behind a dot in it will do. */
const names = new Set(
  [...readFileSync(process.argv[2]!, 'utf8').matchAll(/\.([A-Za-z]\w+)/g)].map(([, name]) => name!),
);
const editor = Object.fromEntries([...names].map((name) => [name, nothing(name)]));
loader._load = (request, ...more) => (request === 'vscode' ? editor : original(request, ...more));
const context = { subscriptions: [], extensionUri: {}, asAbsolutePath: (path: string) => path };
const start = performance.now();
const extension = createRequire(import.meta.url)(process.argv[2]!) as { activate(context: unknown): unknown };
const loaded = performance.now();
await extension.activate(context);
const milliseconds = performance.now() - start;
if (!asked.some((name) => name.includes('registerCommand'))) throw new Error('Nothing was registered: not activated.');
const started = asked.filter((name) => /createFileSystemWatcher|findFiles/.test(name));
if (started.length > 0) throw new Error(`Woke up for nothing: ${started.join(', ')}`);
process.stderr.write(`load ${(loaded - start).toFixed(1)} ms\n`);
tell({ milliseconds });
process.exit(0);
