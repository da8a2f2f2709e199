import { kindDiffers } from '../files/contentKind';
import type { FileProblem } from '../files/problem';
import { recogniseFile, type FileKind } from '../files/recognise';
import { portProblem } from './portProblems';
import type { Reading } from './query';
import type { SessionRun } from './reviewSession';
import type { SessionQueries } from './sessionQueries';
import type { WorkFiles } from './workFiles';

/** As `problemsOfFile`, for a run itself. */
export function problemsInRun({ queries, read }: SessionRun, path: string): Promise<readonly FileProblem[]> {
  return read.once((below) => problemsOfFile(path, queries, below));
}

/** Everything wrong with one file by itself. */
export function problemsOfFile(path: string, queries: SessionQueries, read: Reading): readonly FileProblem[] {
  const kind = recogniseFile(path, { logs: read.get(queries.files.mappings, '') });
  switch (kind) {
    case 'config':
      return read.get(queries.files.config, '').problems;
    case 'spec':
      return [
        ...read.get(queries.files.spec, path).problems,
        ...otherKind(path, kind, queries, read),
        ...sharedIds(path, queries, read),
      ];
    case 'reference':
    case 'result':
      return problemsOfTable(path, kind, queries, read);
    case 'csvw':
      return read.get(queries.logs.csvw, path).problems;
    case 'testLog':
      return problemsOfLog(path, queries, read);
    default:
      return [];
  }
}

/** The reader tells a result from a reference; whether it is a table at all is seen here, and then that alone is said. */
function problemsOfTable(path: string, kind: FileKind, queries: SessionQueries, read: Reading): readonly FileProblem[] {
  const { table, problems } = read.get(queries.files.table, path);
  // The columns that only results have leave no doubt, and nearly every result has them.
  if (kind === 'result' && table?.kind === kind && table.rows[0]?.measured !== undefined) return problems;
  const differs = otherKind(path, kind, queries, read);
  return differs.length === 0 ? problems : [...differs, ...problems.filter(({ rule }) => rule !== 'file-kind-differs')];
}

function problemsOfLog(path: string, queries: SessionQueries, read: Reading): readonly FileProblem[] {
  const head = read.get(queries.logs.head, path);
  const report = queries.logs.report(path, read);
  return [...head.problems, ...(report.kind === 'fault' && head.kind === 'read' ? report.problems : [])];
}

function otherKind(path: string, kind: FileKind, queries: SessionQueries, read: Reading): readonly FileProblem[] {
  const text = read.get(queries.files.text, path);
  const problem = text.kind === 'fault' ? undefined : kindDiffers(path, kind, text.bytes);
  return problem === undefined ? [] : [problem];
}

/** Two specs of one id: said at each of them. */
function sharedIds(path: string, queries: SessionQueries, read: Reading): readonly FileProblem[] {
  const { spec } = read.get(queries.files.spec, path);
  if (spec === undefined) return [];
  const found = read.get(queries.files.specOfId, spec.id);
  if (found.kind !== 'many') return [];
  const others = found.paths.filter((other) => other !== path);
  return [
    {
      rule: 'id-ambiguous',
      file: path,
      position: spec.positionOf('id'),
      column: 'id',
      value: spec.id.slice(0, 80),
      message: `The id is also that of ${others.join(', ')}; neither is used.`,
      remedy: 'Give each spec an id of its own; an old id may stand under formerly of one of them.',
    },
  ];
}

/** Links and folders that could not be taken in. A link to nothing matters only under the name of one of our files. */
export function listingProblems(work: WorkFiles): readonly FileProblem[] {
  return work
    .problems()
    .filter((problem) => problem.code !== 'not-found' || recogniseFile(problem.path, { logs: [] }) !== undefined)
    .map(portProblem);
}
