import picomatch from 'picomatch';

/*
 * Patterns come from files and may be hostile. picomatch turns a pattern into a regular expression, and one with many stars
 * takes time that grows with a power of their number. So it only ever sees one path segment with few stars; braces are
 * written out here, and `**` is matched here, segment by segment, in a time that the limits bound.
 */

export const GLOB_LIMITS = {
  characters: 256,
  alternatives: 64,
  braces: 12,
  segments: 32,
  starsInASegment: 3,
  pathCharacters: 1024,
} as const;

/** Why a pattern is refused. */
export interface GlobFault {
  readonly problem: string;
  readonly remedy: string;
}

/**
 * Whether a repository path matches a pattern: `*` and `?` within a folder, `**` any number of folders, `{a,b}`, `[abc]`.
 * Case counts; a leading dot needs no special pattern. A pattern that breaks the limits, or a path of over 1,024 characters, matches nothing.
 */
export function matchesGlob(pattern: string, path: string): boolean {
  if (path.length > GLOB_LIMITS.pathCharacters) return false;
  const compiled = compileGlob(pattern);
  if ('problem' in compiled) return false;
  const segments = path.split('/');
  return compiled.alternatives.some((alternative) => matchSegments(alternative, segments));
}

/** What is wrong with a pattern, if anything. */
export function checkGlob(pattern: string): GlobFault | undefined {
  const compiled = compileGlob(pattern);
  return 'problem' in compiled ? compiled : undefined;
}

type Segment = '**' | ((name: string) => boolean);
interface CompiledGlob {
  readonly alternatives: readonly (readonly Segment[])[];
}

/** The last patterns, since a repository asks the same few for thousands of paths. */
const compiledGlobs = new Map<string, CompiledGlob | GlobFault>();
const MOST_COMPILED = 200;

function compileGlob(pattern: string): CompiledGlob | GlobFault {
  let compiled = compiledGlobs.get(pattern);
  if (compiled === undefined) {
    compiled = compileAnew(pattern);
    if (compiledGlobs.size >= MOST_COMPILED) compiledGlobs.clear();
    if (pattern.length <= GLOB_LIMITS.characters) compiledGlobs.set(pattern, compiled);
  }
  return compiled;
}

function compileAnew(pattern: string): CompiledGlob | GlobFault {
  if (pattern.trim() === '')
    return { problem: 'The pattern is empty.', remedy: 'Write one such as "incoming/**/*.csv".' };
  if (pattern.length > GLOB_LIMITS.characters) return tooComplex(`has more than ${GLOB_LIMITS.characters} characters`);
  // eslint-disable-next-line no-control-regex -- control characters are what it looks for
  if (/[\u0000-\u001f\\]/.test(pattern)) {
    return {
      problem: 'The pattern holds a backslash or a control character.',
      remedy: 'Write it with forward slashes.',
    };
  }
  if (/^(?:\/|[A-Za-z]:)|(?:^|\/)\.\.(?:\/|$)/.test(pattern)) {
    return {
      problem: `'${pattern}' leads out of the repository.`,
      remedy: 'Write it from the root of the repository, without a leading slash and without "..".',
    };
  }
  const spelled = expandBraces(pattern);
  if (!Array.isArray(spelled)) return spelled;
  const alternatives: Segment[][] = [];
  for (const one of spelled) {
    const segments = compileSegments(one);
    if (!Array.isArray(segments)) return segments;
    alternatives.push(segments);
  }
  return { alternatives };
}

function compileSegments(pattern: string): Segment[] | GlobFault {
  const parts = pattern
    .split('/')
    .filter((part, index, all) => part !== '.' && !(part === '**' && all[index - 1] === '**'));
  if (parts.length > GLOB_LIMITS.segments) return tooComplex(`has more than ${GLOB_LIMITS.segments} folders`);
  const segments: Segment[] = [];
  for (const part of parts) {
    const single = part === '**' ? part : part.replace(/\*{2,}/g, '*');
    if (single !== '**' && single.split('*').length - 1 > GLOB_LIMITS.starsInASegment) {
      return tooComplex(`has more than ${GLOB_LIMITS.starsInASegment} stars between two slashes`);
    }
    segments.push(single === '**' ? single : picomatch(onlyStars(single), SEGMENT_OPTIONS));
  }
  return segments;
}

const SEGMENT_OPTIONS = {
  dot: true,
  windows: false,
  noextglob: true,
  noglobstar: true,
  nobrace: true,
  nonegate: true,
} as const;

/** Leaves `*`, `?` and `[abc]` to picomatch and makes all else ordinary: it would pass `(a+)+` on to the regular expression. */
function onlyStars(segment: string): string {
  // picomatch knows the negated class as [^abc].
  return segment.replace(/\[!/g, '[^').replace(/(?<!\[)[!^]|[^\p{L}\p{N}\s*?[\]!^_-]/gu, '\\$&');
}

/** Matches by dynamic programming: after each pattern segment, the set of path positions that it may have reached. */
function matchSegments(pattern: readonly Segment[], path: readonly string[]): boolean {
  let reached = new Set([0]);
  for (const segment of pattern) {
    const next = new Set<number>();
    for (const at of reached) {
      if (segment === '**') for (let to = at; to <= path.length; to++) next.add(to);
      else if (at < path.length && segment(path[at]!)) next.add(at + 1);
    }
    if (next.size === 0) return false;
    reached = next;
  }
  return reached.has(path.length);
}

/** Writes `{a,b{c,d}}` out, innermost first; a brace without a partner or a comma is an ordinary character. */
function expandBraces(pattern: string): string[] | GlobFault {
  let pending = [{ text: pattern, braces: 0 }];
  const done: string[] = [];
  while (pending.length > 0) {
    const next: typeof pending = [];
    for (const { text, braces } of pending) {
      const brace = innermostBrace(text);
      if (brace === undefined) done.push(text);
      else if (braces >= GLOB_LIMITS.braces) return tooComplex('has too many braces');
      else
        for (const choice of brace.choices)
          next.push({ text: brace.before + choice + brace.after, braces: braces + 1 });
      if (done.length + next.length > GLOB_LIMITS.alternatives)
        return tooComplex(`has more than ${GLOB_LIMITS.alternatives} alternatives`);
    }
    pending = next;
  }
  return done;
}

function innermostBrace(text: string): { before: string; choices: string[]; after: string } | undefined {
  const match = /\{([^{}]*,[^{}]*)\}/.exec(text);
  if (match === null) return undefined;
  return {
    before: text.slice(0, match.index),
    choices: match[1]!.split(','),
    after: text.slice(match.index + match[0].length),
  };
}

function tooComplex(how: string): GlobFault {
  return { problem: `The pattern ${how}.`, remedy: 'Use a simpler pattern, or several entries.' };
}
