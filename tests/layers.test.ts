import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';

const ROOT = dirname(import.meta.dirname);
let folder = '';
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

/** Runs dependency-cruiser with our rules over a small tree and gives the names of the rules that it breaks. */
function brokenRules(files: Readonly<Record<string, string>>): string[] {
  folder = mkdtempSync(join(tmpdir(), 'damper-layers-'));
  writeFileSync(
    join(folder, 'tsconfig.base.json'),
    '{"compilerOptions":{"module":"esnext","moduleResolution":"bundler"}}',
  );
  for (const [path, content] of Object.entries(files)) {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), content);
  }
  const folders = [...new Set(Object.keys(files).map((path) => path.slice(0, path.indexOf('/'))))];
  const program = join(ROOT, 'node_modules/dependency-cruiser/bin/dependency-cruise.mjs');
  const config = join(ROOT, '.dependency-cruiser.cjs');
  try {
    const output = execFileSync(process.execPath, [program, ...folders, '--config', config, '--output-type', 'json'], {
      cwd: folder,
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    return namesOf(output);
  } catch (error) {
    return namesOf((error as { stdout: string }).stdout);
  }
}

function namesOf(output: string): string[] {
  const report = JSON.parse(output) as { summary: { violations: { rule: { name: string } }[] } };
  return report.summary.violations.map((violation) => violation.rule.name);
}

describe('layers', () => {
  it('lets a layer import what stands below it', () => {
    expect(
      brokenRules({
        'src/analysis/a.ts': 'export const a = 1;',
        'src/review/b.ts': "import { a } from '../analysis/a';\nexport const b = a;",
      }),
    ).toEqual([]);
  });

  it('catches an import that points up', () => {
    expect(
      brokenRules({
        'src/review/b.ts': 'export const b = 1;',
        'src/analysis/a.ts': "import { b } from '../review/b';\nexport const a = b;",
      }),
    ).toEqual(['layer-analysis']);
  });

  it('catches a module of Node.js in the core, but not in the platform', () => {
    expect(
      brokenRules({
        'src/files/a.ts': "import { readFileSync } from 'node:fs';\nexport const a = readFileSync;",
        'src/platform/node/b.ts': "import { readFileSync } from 'node:fs';\nexport const b = readFileSync;",
      }),
    ).toEqual(['no-node-in-core']);
  });

  it('lets extension and pages know the protocol alone, and nothing of one another', () => {
    expect(
      brokenRules({
        'src/protocol/a.ts': 'export const a = 1;',
        'src/session/s.ts': 'export const s = 1;',
        'extension/good.ts': "import { a } from '../src/protocol/a';\nexport const b = a;",
        'webview/bad.ts': "import { s } from '../src/session/s';\nexport const b = s;",
        'extension/bad.ts': "import { b } from '../webview/bad';\nexport const c = b;",
      }).sort(),
    ).toEqual(['editor-apart-from-pages', 'faces-of-the-editor']);
  });
});
