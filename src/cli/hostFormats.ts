import type { ReviewOutcome } from '../review/judgedResult';
import type { DocumentFormat, ReviewFormat } from './options';
import { productVersion } from './productVersion';

/** The review in a format that a code host or a build server reads. @param folder of the repository in its checkout */
export async function renderForHost(
  format: Exclude<ReviewFormat, DocumentFormat>,
  outcome: ReviewOutcome,
  folder: string,
): Promise<string> {
  const report = { findings: outcome.findings, folder };
  switch (format) {
    case 'sarif':
      return JSON.stringify((await import('../reports/host/sarif')).sarifLog(report, productVersion()), undefined, 2);
    case 'junit':
      return (await import('../reports/host/junit')).renderJunit(outcome);
    case 'github':
      return (await import('../reports/host/annotations')).renderAnnotations(report);
    case 'gitlab':
      return JSON.stringify((await import('../reports/host/codeQuality')).codeQualityReport(report), undefined, 2);
  }
}
