import { METHOD_VERSION } from '../analysis/method';
import type { ResultOrigin } from '../files/forceTable';
import type { Provenance } from '../review/judgeInput';

type StaleCause = Extract<Provenance, { kind: 'stale' }>['because'][number];

/** A log that a result names, as it is now. */
export interface SourceNow {
  readonly path: string;
  /** What the result says of it. */
  readonly recorded: string;
  /** Undefined where the log is not there. */
  readonly sha256?: string;
  /** Why it cannot be read though it is there. */
  readonly unreadable?: string;
  readonly isPointer?: boolean;
}

/** What a committed result is held against, where all its logs are there. */
export interface TodaysInputs {
  readonly sources: readonly SourceNow[];
  readonly inputs: ResultOrigin['inputs'];
  /** Logs that belong to the same run today. */
  readonly logsOfRun: readonly string[];
}

/** Whether logs are missing; undefined where all are there and can be read. */
export function provenanceBySources(sources: readonly SourceNow[]): Provenance | undefined {
  if (sources.length === 0) {
    return { kind: 'unsourced', missing: [], detail: 'it names no log, so nothing shows where its numbers come from.' };
  }
  const missing = sources.filter(
    (source) => source.sha256 === undefined || source.isPointer === true || source.unreadable !== undefined,
  );
  if (missing.length === 0) return undefined;
  const details = missing.map((source) => {
    if (source.sha256 === undefined) return `${source.path} is not there`;
    if (source.isPointer === true) return `${source.path} is the pointer of a large file that was not fetched`;
    return `${source.path} cannot be read (${source.unreadable?.replace(/\.$/u, '') ?? ''})`;
  });
  return {
    kind: 'unsourced',
    missing: missing.map((source) => source.path),
    detail: `its numbers cannot be checked: ${details.join('; ')}.`,
  };
}

/** Whether anything but the result itself has changed; undefined where the bytes decide. */
export function provenanceByInputs(
  result: ResultOrigin,
  { sources, inputs, logsOfRun }: TodaysInputs,
): Provenance | undefined {
  const because: StaleCause[] = [];
  const details: string[] = [];
  if (result.method !== METHOD_VERSION) {
    because.push('method');
    details.push(`It was written by method ${result.method ?? 'unknown'}; today's is ${METHOD_VERSION}.`);
  }
  for (const part of ['spec', 'mapping', 'bench'] as const) {
    if (result.inputs[part] === inputs[part]) continue;
    because.push(part);
  }
  const changed = sources.filter((source) => source.sha256 !== source.recorded).map((source) => source.path);
  const named = new Set(sources.map((source) => source.path));
  const more = logsOfRun.filter((log) => !named.has(log));
  const fewer = logsOfRun.length === 0 ? [] : [...named].filter((log) => !logsOfRun.includes(log));
  if (changed.length + more.length + fewer.length > 0) because.push('source');
  if (changed.length > 0) details.push(`The log has other content: ${changed.join(', ')}.`);
  if (more.length > 0) details.push(`Its run has more logs today: ${more.join(', ')}.`);
  if (fewer.length > 0) details.push(`No longer of the same run: ${fewer.join(', ')}.`);
  if (because.length === 0) return undefined;
  return { kind: 'stale', because, detail: details.join(' ') };
}

/**
 * Holds the text of a committed result against the one that its logs give today, line by line. The line `# reference:` is for information
 * and belongs to no comparison; line endings and a byte order mark are a checkout's.
 */
export function provenanceByText(committed: Uint8Array, expected: Uint8Array): Provenance {
  const was = comparedLines(committed);
  const should = comparedLines(expected);
  for (let i = 0; i < Math.max(was.length, should.length); i++) {
    const a = was[i];
    const b = should[i];
    if (a?.text === b?.text) continue;
    return {
      kind: 'altered',
      line: a?.line ?? was.at(-1)?.line ?? 1,
      was: shortened(a?.text ?? 'nothing'),
      expected: shortened(b?.text ?? 'nothing'),
    };
  }
  return { kind: 'matches' };
}

interface ComparedLine {
  readonly line: number;
  readonly text: string;
}

function comparedLines(bytes: Uint8Array): ComparedLine[] {
  return new TextDecoder()
    .decode(bytes)
    .split(/\r?\n/u)
    .map((text, i) => ({ line: i + 1, text }))
    .filter(({ text }) => !/^#\s*reference\s*:/u.test(text));
}

/** Long rows are cut: the line says where to look. */
function shortened(text: string): string {
  return text.length <= 160 ? text : `${text.slice(0, 159)}…`;
}
