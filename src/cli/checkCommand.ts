import { exitStatus } from '../review/outcome';
import { folderInCheckout, locateRepository, type Located } from './repositoryRoot';
import { deliver, showsAny, terminalOf } from './output';
import { print } from './standardStreams';
import { withSession } from './openSession';
import type { CheckOptions } from './program';
import { renderForHost } from './hostFormats';

/** `check`: judges what lies below the paths, prints and writes the reports, and sets the exit status. */
export async function runCheck(paths: readonly string[], options: CheckOptions): Promise<void> {
  const located = locateRepository(paths.length > 0 ? paths : ['.'], process.cwd());
  if (options.format === 'text' && options.report.length === 0) {
    await checkInText(located, options);
    return;
  }
  const explain = showsAny(options, ['text', 'json', 'markdown', 'html']);
  const outcome = await withSession(located.root, options.cache, (session, run) =>
    session.review(located.paths, { ...run, explain }),
  );
  await deliver(options, async (format, terminal) => {
    switch (format) {
      case 'text':
        return (await import('../reports/text')).renderText(outcome, terminal);
      case 'json':
        return (await import('../reports/json')).reviewDocumentParts(outcome);
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

/** The ordinary case: results are told as text, and what was told before and still holds is told again. */
async function checkInText({ root, paths }: Located, options: CheckOptions): Promise<void> {
  const { renderTold, textTeller } = await import('../reports/text');
  const terminal = terminalOf(options);
  const outcome = await withSession(root, options.cache, (session, run) =>
    session.tell(textTeller(terminal), paths, run),
  );
  await print(renderTold(outcome, terminal));
  process.exitCode = exitStatus(outcome, options.failOn);
}
