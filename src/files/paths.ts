/** A path inside the repository, or why it is none. */
export type PathResult = { readonly path: string } | { readonly problem: string; readonly remedy: string };

const LONGEST_PATH = 1024;
/** Names of letters, digits and signs that are nobody's, and points between them: most paths, told without taking them apart. */
const USUAL_PATH = /^[\w-]+(?:[./][\w-]+)*$/;

/**
 * Checks and normalises a path that stands in a file: relative, forward slashes, inside the repository. Refused: absolute
 * paths, drive letters, UNC names, backslashes, colons (which open alternate streams on some systems), control characters,
 * names that some systems reserve, and `..` that climbs above the root. Links are the file ports' to check.
 *
 * @param text as written
 * @param base folder that it is relative to, from the root; '' for the root
 */
export function repositoryPath(text: string, base: string): PathResult {
  if (text.length <= LONGEST_PATH && USUAL_PATH.test(text) && !RESERVED_PART.test(text))
    return { path: base === '' ? text : `${base}/${text}` };
  if (text.trim() === '') return { problem: 'The path is empty.', remedy: 'Write a path, or leave the key out.' };
  if (text.length > LONGEST_PATH)
    return { problem: `The path is longer than ${LONGEST_PATH} characters.`, remedy: 'Shorten it.' };
  // eslint-disable-next-line no-control-regex -- control characters are what it looks for
  if (/[\u0000-\u001f\u007f]/.test(text))
    return { problem: 'The path holds a control character.', remedy: 'Remove it.' };
  if (text.includes('\\'))
    return { problem: `'${text}' holds a backslash.`, remedy: 'Write the path with forward slashes.' };
  if (text.startsWith('/')) return outside(text, 'is absolute');
  if (text.includes(':')) return outside(text, 'holds a colon (a drive or an address)');
  return joinSegments(text, base);
}

function joinSegments(text: string, base: string): PathResult {
  const segments = base === '' ? [] : base.split('/');
  for (const segment of text.split('/')) {
    if (segment === '' || segment === '.') continue;
    if (segment === '..') {
      if (segments.pop() === undefined) return outside(text, 'leads out of it');
    } else if (RESERVED_NAME.test(segment) || /[. ]$/.test(segment)) {
      return { problem: `'${segment}' cannot be a file name on every system.`, remedy: 'Use another name.' };
    } else segments.push(segment);
  }
  if (segments.length === 0) return { problem: `'${text}' names no file.`, remedy: 'Write the path of a file.' };
  return { path: segments.join('/') };
}

const RESERVED_NAME = /^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)/i;
const RESERVED_PART = /(?:^|\/)(?:con|prn|aux|nul|com\d|lpt\d)(?:[./]|$)/i;

function outside(text: string, how: string): PathResult {
  return {
    problem: `'${text}' ${how}; paths stay inside the repository.`,
    remedy: 'Write the path relative to this file, with forward slashes, to a file of the repository.',
  };
}

/** The folder of a repository path, '' for the root. */
export function folderOf(path: string): string {
  return path.slice(0, Math.max(0, path.lastIndexOf('/')));
}

/** The last part of a repository path. */
export function nameOf(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}
