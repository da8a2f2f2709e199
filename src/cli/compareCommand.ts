import { locateRepository } from './repositoryRoot';
import { deliver } from './output';
import { withSession } from './openSession';
import type { OutputOptions } from './program';

/** `compare`: both may be paths or SERIAL/BUILD of the repository around the working folder. */
export async function runCompare(
  a: string,
  b: string,
  options: OutputOptions & { readonly cache: boolean },
): Promise<void> {
  const { root, names } = locateCompared(a, b);
  const comparison = await withSession(root, options.cache, (session, run) => session.compare(names[0], names[1], run));
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

/** A path that exists names a file relative to the working folder; anything else is left to the session to resolve. */
function locateCompared(a: string, b: string): { root: string; names: readonly [string, string] } {
  const locate = (name: string): { root: string; name: string } | undefined => {
    try {
      const found = locateRepository([name], process.cwd());
      return { root: found.root, name: found.paths[0] ?? name };
    } catch {
      return undefined;
    }
  };
  const first = locate(a);
  const second = locate(b);
  const root = first?.root ?? second?.root ?? locateRepository(['.'], process.cwd()).root;
  return { root, names: [first?.name ?? a, second?.name ?? b] };
}
