import { kindDiffers } from '../files/contentKind';
import type { FileProblem } from '../files/problem';
import { recogniseFile, type FileKind } from '../files/recognise';
import { portProblem } from './portProblems';
import type { Reader } from './query';
import type { SessionQueries } from './sessionQueries';
import type { WorkFiles } from './workFiles';

/** Everything wrong with one file by itself. */
export async function problemsOfFile(
  path: string,
  queries: SessionQueries,
  read: Reader,
): Promise<readonly FileProblem[]> {
  const kind = recogniseFile(path, { logs: await read.get(queries.files.mappings, '') });
  switch (kind) {
    case 'config':
      return (await read.get(queries.files.config, '')).problems;
    case 'spec':
      return [
        ...(await read.get(queries.files.spec, path)).problems,
        ...(await otherKind(path, kind, queries, read)),
        ...(await sharedIds(path, queries, read)),
      ];
    case 'reference':
    case 'result':
      return problemsOfTable(path, kind, queries, read);
    case 'csvw':
      return (await read.get(queries.logs.csvw, path)).problems;
    case 'testLog':
      return problemsOfLog(path, queries, read);
    default:
      return [];
  }
}

/** The reader tells a result from a reference; whether it is a table at all is seen here, and then that alone is said. */
async function problemsOfTable(
  path: string,
  kind: FileKind,
  queries: SessionQueries,
  read: Reader,
): Promise<readonly FileProblem[]> {
  const { table, problems } = await read.get(queries.files.table, path);
  // The columns that only results have leave no doubt, and nearly every result has them.
  if (kind === 'result' && table?.kind === kind && table.rows[0]?.measured !== undefined) return problems;
  const differs = await otherKind(path, kind, queries, read);
  return differs.length === 0 ? problems : [...differs, ...problems.filter(({ rule }) => rule !== 'file-kind-differs')];
}

async function problemsOfLog(path: string, queries: SessionQueries, read: Reader): Promise<readonly FileProblem[]> {
  const head = await read.get(queries.logs.head, path);
  const { report } = await read.get(queries.logs.reduction, path);
  return [...head.problems, ...(report.kind === 'fault' && head.kind === 'read' ? report.problems : [])];
}

async function otherKind(
  path: string,
  kind: FileKind,
  queries: SessionQueries,
  read: Reader,
): Promise<readonly FileProblem[]> {
  const text = await read.get(queries.files.text, path);
  const problem = text.kind === 'fault' ? undefined : kindDiffers(path, kind, text.bytes);
  return problem === undefined ? [] : [problem];
}

/** Two specs of one id: said at each of them. */
async function sharedIds(path: string, queries: SessionQueries, read: Reader): Promise<readonly FileProblem[]> {
  const { spec } = await read.get(queries.files.spec, path);
  if (spec === undefined) return [];
  const found = await read.get(queries.files.specOfId, spec.id);
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
