import type { ForceTable } from '../files/forceTable';
import { recogniseFile } from '../files/recognise';
import { roundForceTable, writeForceTable } from '../files/writeForceTable';
import { adoptedReference, adoptionObstacles, unevenRows } from '../review/adoptedReference';
import { referenceMove, type ReferenceMove } from '../review/branch/referenceMove';
import type { Finding } from '../review/finding';
import type { JudgedResult } from '../review/judgedResult';
import { countText, settingText, unitLabel } from '../review/wording';
import { entryText } from './entryQueries';
import type { SessionRun } from './reviewSession';
import { SessionFault } from './sessionFault';

/** Reference curves that are ready to be written. */
export interface Adoption {
  readonly path: string;
  readonly bytes: Uint8Array;
  /** As it is at `path` now; undefined where nothing is there. */
  readonly before?: Uint8Array;
  readonly spec: string;
  readonly specFile: string;
  readonly from: readonly string[];
  /** What moves against the present curves; absent where there are none. */
  readonly move?: ReferenceMove;
  /** Entries that are held against these curves. */
  readonly entries: readonly string[];
  /** What speaks against it without forbidding it, in sentences. */
  readonly doubts: readonly string[];
}

/**
 * Makes reference curves of a result, or of the mean of several. Writes nothing.
 *
 * @param paths of results. @param reason one line
 * @throws SessionFault where they are no results, cannot be told to be sound, or their spec names no reference
 */
export async function adoptResults(run: SessionRun, paths: readonly string[], reason: string): Promise<Adoption> {
  const said = checkedReason(reason);
  const { queries, read } = run;
  const files = [...new Set(paths)];
  const results: JudgedResult[] = [];
  for (const path of files) results.push(await soundResult(run, path));
  const tables = results.map(({ table }) => table);
  const [obstacle] = adoptionObstacles(tables);
  if (obstacle !== undefined) throw new SessionFault(obstacle, 'Adopt results of one spec that were run alike.');
  const { spec, path } = await referencePathOf(run, tables[0]!);
  const today = await read.get(queries.judging.today, '');
  const table = adoptedReference(path, tables, { from: files, on: today, reason: said });
  const present = await presentCurves(run, path);
  const move = present?.table && referenceMove(present.table, roundForceTable(table), spec.tolerance);
  return {
    path,
    bytes: writeForceTable(table),
    ...(present !== undefined && { before: present.bytes }),
    spec: spec.id,
    specFile: spec.file,
    from: files,
    ...(move !== undefined && { move }),
    entries: await entriesOfSpec(run, spec.file),
    doubts: [...lostRows(move), ...doubtsOf(results, tables)],
  };
}

/** Bytes of a file as they are now. */
export async function bytesNow({ queries, read }: SessionRun, path: string): Promise<Uint8Array | undefined> {
  if (!(await read.get(queries.files.present, path))) return undefined;
  const text = await read.get(queries.files.text, path);
  return text.kind === 'text' ? text.bytes : undefined;
}

const LONGEST_REASON = 500;

function checkedReason(reason: string): string {
  const said = reason.trim();
  const remedy = 'Say in one line why these curves are to hold from now on: --reason "First approved unit".';
  if (said === '') throw new SessionFault('A reference needs a reason.', remedy);
  if (/\p{Cc}/u.test(said) || said.length > LONGEST_REASON)
    throw new SessionFault(`The reason is longer than ${LONGEST_REASON} characters, or more than one line.`, remedy);
  return said;
}

/** A result that can be judged and of which nothing is wrong but its drift from the present reference. */
async function soundResult(run: SessionRun, path: string): Promise<JudgedResult> {
  const { queries, read } = run;
  const kind = recogniseFile(path, { logs: await read.get(queries.files.mappings, '') });
  if (kind !== 'result' || !run.work.has(path))
    throw new SessionFault(`"${path}" is no result.`, 'Name results; damper-review reduce writes them from test logs.');
  const judged = await read.get(queries.judging.placed, entryText({ kind: 'result', file: path }));
  if (judged === undefined) throw new SessionFault(`"${path}" cannot be read.`, 'Run damper-review check on it first.');
  const against = judged.findings.find(isAgainst);
  if (against !== undefined)
    throw new SessionFault(
      `${unitLabel(judged)} cannot become a reference (${against.rule}): ${against.message}`,
      'Mend what is found and test again; a reference is what every other unit is held against.',
    );
  return judged;
}

/** Errors of any kind but the drift itself, and a result that is not what its log gives today. */
function isAgainst({ rule, level, waived }: Finding): boolean {
  if (rule === 'drift-from-reference') return false;
  return (level === 'error' && waived === undefined) || rule === 'result-stale';
}

async function referencePathOf({ queries, read }: SessionRun, table: ForceTable) {
  const found = await read.get(queries.files.specOfId, table.spec);
  const spec = found.kind === 'one' ? await read.get(queries.files.specMeaning, found.path) : undefined;
  if (spec === undefined)
    throw new SessionFault(`No single spec of the id "${table.spec}" can be read.`, 'Mend the spec first.');
  if (spec.reference === undefined) {
    const name = spec.file.slice(spec.file.lastIndexOf('/') + 1).replace(/\.damper\.ya?ml$/iu, '');
    throw new SessionFault(
      `${spec.file} names no reference.`,
      `Write "reference: ${name}.refcurve.csv" into it and commit; then adopt again.`,
    );
  }
  return { spec, path: spec.reference };
}

async function presentCurves(
  run: SessionRun,
  path: string,
): Promise<{ readonly bytes: Uint8Array; readonly table?: ForceTable } | undefined> {
  const bytes = await bytesNow(run, path);
  if (bytes === undefined) return undefined;
  const table = await run.read.get(run.queries.files.tableMeaning, path);
  return { bytes, ...(table !== undefined && { table }) };
}

async function entriesOfSpec({ queries, read }: SessionRun, specFile: string): Promise<readonly string[]> {
  const found: string[] = [];
  for (const text of await read.get(queries.entries.entries, ''))
    if ((await read.get(queries.entries.head, text)).specPath === specFile) found.push(text);
  return found;
}

/** Where the new curves have no row, nothing is judged any more. */
function lostRows(move: ReferenceMove | undefined): readonly string[] {
  if (move === undefined || move.removed.length === 0) return [];
  const settings = new Set(move.removed.map(({ setting }) => settingText(setting)));
  const what = `${countText(move.removed.length, 'row')} at ${countText(settings.size, 'setting')}`;
  return [
    `${what} of the present reference go: they are no longer judged. Adopt a test of all settings if they are to stay.`,
  ];
}

function doubtsOf(results: readonly JudgedResult[], tables: readonly ForceTable[]): readonly string[] {
  const uneven = unevenRows(tables);
  const warned = results.flatMap((result) =>
    result.findings
      .filter(({ level, waived }) => level === 'warning' && waived === undefined)
      .map(({ rule, message }) => `${message} (${rule})`),
  );
  const unseen = results.filter(({ analysis }) => analysis === undefined).map(unitLabel);
  return [
    ...(uneven === undefined ? [] : [uneven]),
    ...(unseen.length === 0
      ? []
      : [`The loops of ${unseen.join(', ')} were not looked at: the test log is not at hand.`]),
    ...new Set(warned),
  ];
}
