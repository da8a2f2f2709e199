import { exitStatus } from '../review/outcome';
import { folderInCheckout, locateRepository } from './repositoryRoot';
import { deliver } from './output';
import { withSession } from './openSession';
import type { CheckOptions } from './program';
import { renderForHost } from './hostFormats';

/** `check`: judges what lies below the paths, prints and writes the reports, and sets the exit status. */
export async function runCheck(paths: readonly string[], options: CheckOptions): Promise<void> {
  const located = locateRepository(paths.length > 0 ? paths : ['.'], process.cwd());
  const outcome = await withSession(located.root, options.cache, (session, run) => session.review(located.paths, run));
  await deliver(options, async (format, terminal) => {
    switch (format) {
      case 'text':
        return (await import('../reports/text')).renderText(outcome, terminal);
      case 'json':
        return JSON.stringify((await import('../reports/json')).reviewDocument(outcome), undefined, 2);
      case 'markdown':
        return (await import('../reports/markdown')).renderMarkdown(outcome);
      case 'html':
        return (await import('../reports/html')).renderHtml(outcome, { generated: new Date().toISOString() });
      default:
        return renderForHost(format, outcome, folderInCheckout(located.root));
    }
  });
  process.exitCode = exitStatus(outcome, options.failOn);
}
