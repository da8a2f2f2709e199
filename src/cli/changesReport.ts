import { basename, join } from 'node:path';
import type { BranchChanges } from '../changes/branchChanges';
import { reviewBranch } from '../changes/reviewBranch';
import type { GitRevisions } from '../platform/node/gitRevisions';
import { exitStatus } from '../review/outcome';
import { reviewOfBranch } from '../reports/branchStory';
import { renderForHost } from './hostFormats';
import { withBranch } from './openHistory';
import { deliver } from './output';
import type { ChangesOptions } from './changesCommand';
import { writeReport } from './writeReport';
import { folderInCheckout } from './repositoryRoot';

/** Reviews the branch and delivers what was asked for. @param opened the history, which is closed once the branch is reviewed */
export async function reportChanges(
  root: string,
  opened: Promise<GitRevisions>,
  options: ChangesOptions,
): Promise<void> {
  const changes = await withBranch(root, options.cache, opened, (branch, run) =>
    reviewBranch(branch, options.base, run),
  );
  const outcome = reviewOfBranch(changes);
  await deliver(options, async (format, terminal, file) => {
    switch (format) {
      case 'text':
        return (await import('../reports/branchText')).renderBranchText(changes, terminal);
      case 'json':
        return JSON.stringify((await import('../reports/branchJson')).branchDocument(changes), undefined, 2);
      case 'markdown':
        return markdownOf(changes, file);
      case 'html':
        return (await import('../reports/html')).renderHtml(outcome, { generated: new Date().toISOString() });
      default:
        return renderForHost(format, outcome, folderInCheckout(root));
    }
  });
  process.exitCode = exitStatus(outcome, options.failOn);
}

/** A comment that goes to a file has its charts beside it, in a folder of its name. */
async function markdownOf(changes: BranchChanges, file: string | undefined): Promise<string> {
  const { renderBranchMarkdown } = await import('../reports/branchMarkdown');
  if (file === undefined) return renderBranchMarkdown(changes);
  const { branchCharts } = await import('../reports/branchCharts');
  const folder = `${file.replace(/\.[^./\\]*$/u, '')}-charts`;
  const charts = new Map<string, string>();
  for (const [i, chart] of (await branchCharts(changes)).entries()) {
    const name = `drift-${i + 1}.svg`;
    writeReport(join(folder, name), chart.svg);
    charts.set(
      chart.file,
      encodeURI(`${basename(folder)}/${name}`).replace(/[()]/gu, (bracket) => (bracket === '(' ? '%28' : '%29')),
    );
  }
  return renderBranchMarkdown(changes, { charts });
}
