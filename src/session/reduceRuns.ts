import type { FileProblem } from '../files/problem';
import { REVIEW_CONFIG_PATH } from '../files/readReviewConfig';
import { writeForceTable } from '../files/writeForceTable';
import { problemFindings } from '../review/problemFindings';
import { listText } from '../review/wording';
import { entryText } from './entryQueries';
import { problemsInRun } from './fileProblems';
import type { LogGroup } from './logGroups';
import { isNotUsable } from './portProblems';
import type { ReducedFile, ReduceOutcome, SessionRun } from './reviewSession';
import { eachOf, scopeOf } from './reviewPaths';
import { resultPathOfRun, runKeyText, type RunKey } from './runQueries';
import { SessionFault } from './sessionFault';

/** Reduces every run that has a log below the paths, or whose result is named. A run with a log that cannot be read gives no file. */
export async function reduceRuns(run: SessionRun, paths: readonly string[]): Promise<ReduceOutcome> {
  const { queries, read } = run;
  const scope = await scopeOf(run, paths);
  const { groups, alone } = await read.get(queries.runs.groups, '');
  const chosen = groups.filter(({ logs, statics }) =>
    [...logs, ...statics, resultPathOfRun([...logs])].some((path) => scope.holds(path)),
  );
  const problems: FileProblem[] = [];
  const written: ReducedFile[] = [];
  // Logs without a readable head are in no run, and must not be passed over in silence.
  for (const path of await read.get(queries.files.ofKind, 'testLog')) {
    if (!scope.holds(path) || (await read.get(queries.logs.head, path)).kind === 'read') continue;
    problems.push(...(await problemsInRun(run, path)));
  }
  const named = paths.filter((path) => alone.includes(path));
  problems.push(...named.map(notReduced));
  await eachOf(
    run,
    chosen.map((group) => group.first),
    'Reducing',
    async (first) => {
      const group = chosen.find((one) => one.first === first)!;
      const reduced = await reduceGroup(run, group);
      if ('problems' in reduced) problems.push(...reduced.problems);
      else written.push(reduced);
    },
  );
  if (chosen.length === 0 && problems.length === 0) {
    throw new SessionFault(
      'No test log lies below the given paths.',
      'Name a test log, or map the logs of your bench in damper-review.yaml.',
    );
  }
  const clashing = clashes(written);
  problems.push(...clashing);
  const { rules } = await read.get(queries.files.ruleConfig, '');
  const refused = new Set(clashing.map((problem) => problem.value));
  return {
    written: written.filter(({ path }) => !refused.has(path)).sort((a, b) => (a.path < b.path ? -1 : 1)),
    problems: problemFindings(problems, rules),
  };
}

async function reduceGroup(
  run: SessionRun,
  group: LogGroup,
): Promise<ReducedFile | { readonly problems: readonly FileProblem[] }> {
  const { queries, read } = run;
  const logs = [...group.logs, ...group.statics];
  const { key, problems } = await keyOfGroup(run, group, logs);
  for (const log of logs) {
    const ofLog = await problemsInRun(run, log);
    const { report } = await read.get(queries.logs.reduction, log);
    // A log that gives nothing refuses the run by whatever rule, the pointer of a large file too.
    problems.push(...(report.kind === 'fault' ? ofLog : ofLog.filter(isNotUsable)));
  }
  if (problems.length > 0) return { problems };
  const unnamed = await unnamedUnit(run, group.first);
  if (unnamed !== undefined) return { problems: [unnamed] };
  const table = await read.get(queries.runs.measured, runKeyText(key));
  if (table.rows.length === 0) return { problems: [nothingMeasured(group.first)] };
  const reference = await read.once((below) => queries.runs.reference(key.spec, below));
  const origin = table.result === undefined || reference === undefined ? table.result : { ...table.result, reference };
  const result = await read.get(queries.judging.judged, entryText({ kind: 'run', first: group.first }));
  return {
    path: table.file,
    bytes: writeForceTable(origin === undefined ? table : { ...table, result: origin }),
    result: result!,
  };
}

/**
 * A result without its spec, or with half of the bench's data, would be another result: what the run rests on must be whole. A spec id that
 * no file bears is no fault here, unless a spec cannot be read that may be the one.
 */
async function keyOfGroup(
  run: SessionRun,
  group: LogGroup,
  logs: readonly string[],
): Promise<{ key: RunKey; problems: FileProblem[] }> {
  const { queries, read } = run;
  const problems = (await problemsInRun(run, REVIEW_CONFIG_PATH)).filter(isNotUsable);
  const head = await read.get(queries.logs.head, group.first);
  const id = head.kind === 'read' ? head.head.spec : undefined;
  if (id === undefined) return { key: { logs }, problems };
  const found = await read.get(queries.files.specOfId, id);
  const asked =
    found.kind === 'one'
      ? [found.path]
      : found.kind === 'many'
        ? found.paths
        : await read.get(queries.files.ofKind, 'spec');
  for (const spec of asked) problems.push(...(await problemsInRun(run, spec)).filter(isNotUsable));
  if (found.kind !== 'one') return { key: { logs }, problems };
  const reference = await read.get(queries.runs.referencePath, found.path);
  if (reference !== undefined && (await read.get(queries.files.present, reference))) {
    const text = await read.get(queries.files.text, reference);
    if (text.kind === 'fault') problems.push(text.problem);
  }
  return { key: { logs, spec: found.path }, problems };
}

/** A result that does not say which damper it is of, or by which spec it was tested, can be held against nothing later. */
async function unnamedUnit({ queries, read }: SessionRun, log: string): Promise<FileProblem | undefined> {
  const report = await read.get(queries.logs.head, log);
  if (report.kind !== 'read') return undefined;
  const { head } = report;
  const missing = (['spec', 'serial', 'build'] as const).filter((key) => (head[key] ?? '').trim() === '');
  if (missing.length === 0) return undefined;
  const keys = missing.map((key) => `\`# ${key}: ...\``);
  return {
    rule: 'file-invalid',
    file: log,
    position: { line: 1, column: 1 },
    column: missing[0]!,
    message: `The log does not state its ${listText(missing)}, so its result could not be told from others; none is written.`,
    remedy: `Add ${listText(keys)} above the header, or give ${missing.length === 1 ? 'it' : 'them'} in a mapping of damper-review.yaml (\`preamble\` or \`fromPath\`).`,
  };
}

/** Two runs whose results would have one name: neither is written. */
function clashes(written: readonly ReducedFile[]): readonly FileProblem[] {
  return written
    .filter(({ path }, i) => written.findIndex((other) => other.path === path) !== i)
    .map(({ path, result }) => ({
      rule: 'file-invalid',
      file: result.file,
      position: { line: 1, column: 1 },
      value: path,
      message: `Another run would write its result to ${path} as well; neither is written.`,
      remedy: 'Rename one of the two logs.',
    }));
}

function notReduced(file: string): FileProblem {
  return {
    rule: 'file-invalid',
    file,
    position: { line: 1, column: 1 },
    message: 'The log gives no result of its own: it is an endurance, replay or static log.',
    remedy: 'Reduce a staircase or sweep log; static logs of the same build go along with it.',
  };
}

function nothingMeasured(file: string): FileProblem {
  return {
    rule: 'file-invalid',
    file,
    position: { line: 1, column: 1 },
    message: 'The log holds no two consecutive cycles at one speed, so there is nothing to write.',
    remedy: 'Record at least three full cycles at each speed, and check that displacement is the right column.',
  };
}
