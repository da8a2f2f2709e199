import { isAbsolute, relative, resolve, sep } from 'node:path';
import { compareAcross, splitRevision, type ComparedName } from '../changes/compareAcross';
import { locateRepository } from './repositoryRoot';
import { deliver } from './output';
import { withHistory } from './openHistory';
import type { OutputOptions } from './program';

/** `compare`: both may be paths, `SERIAL/BUILD`, or either of them `@REVISION`, of the repository around the working folder. */
export async function runCompare(
  a: string,
  b: string,
  options: OutputOptions & { readonly cache: boolean },
): Promise<void> {
  const root = rootOf([a, b]);
  const comparison = await withHistory(root, options.cache, async (work, run) => {
    const sides = { a: await sideOf(root, a, work.revisions), b: await sideOf(root, b, work.revisions) };
    return compareAcross(work, sides.a, sides.b, run);
  });
  await deliver(options, async (format, terminal) => {
    switch (format) {
      case 'text':
        return (await import('../reports/comparisonText')).renderComparisonText(comparison, terminal);
      case 'json':
        return JSON.stringify((await import('../reports/comparisonJson')).comparisonDocument(comparison), undefined, 2);
      case 'markdown':
        return (await import('../reports/comparisonMarkdown')).renderComparisonMarkdown(comparison);
      case 'html':
        return (await import('../reports/comparisonHtml')).renderComparisonHtml(comparison, {
          generated: new Date().toISOString(),
        });
    }
  });
}

/** The repository of the first name, or left part of one, that is a path; else the one around the working folder. */
function rootOf(names: readonly string[]): string {
  for (const name of names)
    for (const path of [name, ...leftParts(name)]) {
      const found = located(path);
      if (found !== undefined) return found.root;
    }
  return locateRepository(['.'], process.cwd()).root;
}

/** A path names a file relative to the working folder; anything else is left to the session to resolve. */
async function sideOf(
  root: string,
  text: string,
  revisions: Parameters<typeof splitRevision>[2],
): Promise<ComparedName> {
  const side = await splitRevision(text, (name) => Promise.resolve(located(name) !== undefined), revisions);
  return { ...side, name: located(side.name)?.paths[0] ?? inRepository(root, side) };
}

/** A file that a commit has and the work tree has not is named relative to the working folder as well. */
function inRepository(root: string, { name, commit }: ComparedName): string {
  if (commit === undefined) return name;
  const inside = relative(root, resolve(process.cwd(), name));
  const looksLikePath = /\.[A-Za-z]+$/u.test(name) && !inside.startsWith('..') && !isAbsolute(inside);
  return looksLikePath ? inside.split(sep).join('/') : name;
}

function leftParts(name: string): readonly string[] {
  return [...name.matchAll(/@/gu)].map(({ index }) => name.slice(0, index)).filter((part) => part !== '');
}

function located(name: string): ReturnType<typeof locateRepository> | undefined {
  try {
    return locateRepository([name], process.cwd());
  } catch {
    return undefined;
  }
}
