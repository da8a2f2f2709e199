import { METHOD_VERSION } from '../analysis/method';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import type { Finding } from '../review/finding';
import { judgeResult } from '../review/judgeResult';
import { logUnderReview } from './runQueries';
import type { Reading } from './query';
import type { SessionQueries } from './sessionQueries';

/** What a log shows by itself, without a curve to be held against. */
const RULES_OF_LOGS: ReadonlySet<string> = new Set([
  'sign-suspect',
  'time-not-increasing',
  'time-gap',
  'force-clipped',
  'velocity-disagrees',
]);

interface FindingsBasis {
  readonly queries: SessionQueries;
  readonly read: Reading;
}

/** Findings of a log that is part of no run: an endurance or replay log, or a static log without a run. */
export function findingsOfLog({ queries, read }: FindingsBasis, path: string): readonly Finding[] {
  const report = queries.logs.report(path, read);
  if (report.kind === 'fault') return [];
  const { head } = report.record;
  const rules = read.get(queries.judging.rulesFor, JSON.stringify([path, REVIEW_CONFIG_PATH]));
  const judged = judgeResult({
    file: path,
    table: {
      file: path,
      kind: 'result',
      formatVersion: 1,
      spec: head.spec ?? '',
      headerLine: head.headerLine,
      adjusters: [],
      rows: [],
      basis: head.basis,
      result: { serial: head.serial ?? '', build: head.build ?? '', method: METHOD_VERSION, source: [], inputs: {} },
    },
    provenance: { kind: 'measured' },
    logs: [logUnderReview(report.record)],
    config: { ...rules, logs: [], benches: {}, positionOf: () => ({ line: 1, column: 1 }) },
    today: read.get(queries.judging.today, ''),
    attempt: 1,
  });
  return judged.findings.filter((finding) => RULES_OF_LOGS.has(finding.rule));
}
