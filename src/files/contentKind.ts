import { parseColumnHeader } from '../quantities/columnHeader';
import { foreignContent } from './contentLook';
import { keptUpTo } from './plain/understoodTexts';
import type { FileProblem } from './problem';
import { KIND_WORDS } from './recognise';
import type { FileKind } from './recognise';

const LENIENT = new TextDecoder();

/** Marks by which the content of a kind is told: YAML keys at the left edge, or names of columns. The most specific first. */
const YAML_MARKS: readonly (readonly [FileKind, readonly string[]])[] = [
  ['corner', ['sprungMass', 'motionRatio', 'springRate']],
  ['spec', ['hardware', 'adjusters', 'tolerance', 'test', 'reference', 'purpose']],
  ['config', ['logs', 'benches', 'waivers']],
];

/**
 * What a file's first bytes look like, whatever its name; undefined where they are foreign (see contentLook.ts) or tell
 * nothing. Only a hint for `file-kind-differs`: the reader of the kind named by the ending has the last word.
 *
 * @param firstBytes a few kilobytes; uncompressed
 */
export function looksLike(firstBytes: Uint8Array): FileKind | undefined {
  if (foreignContent(firstBytes) !== undefined) return undefined;
  const text = LENIENT.decode(firstBytes.subarray(0, 16_384));
  if (/^\s*\{/.test(text)) return /"(?:tableSchema|@context)"/.test(text) ? 'csvw' : undefined;
  return tableKind(text) ?? yamlKind(text);
}

/** A `file-kind-differs` where the content is clearly another of our kinds than the name says. */
export function kindDiffers(file: string, named: FileKind, firstBytes: Uint8Array): FileProblem | undefined {
  const found = looksLike(firstBytes);
  if (found === undefined || found === named || (named === 'dutyLog' && found === 'testLog')) return undefined;
  return {
    rule: 'file-kind-differs',
    file,
    position: { line: 1, column: 1 },
    message: `By its name this is ${KIND_WORDS[named]}; by its content it looks like ${KIND_WORDS[found]}.`,
    remedy: 'Rename the file, or check that the right content was saved under this name.',
  };
}

function yamlKind(text: string): FileKind | undefined {
  const keys = new Set([...text.matchAll(/^([A-Za-z]+):/gm)].map((match) => match[1]!));
  return YAML_MARKS.find(([, marks]) => marks.some((mark) => keys.has(mark)))?.[0];
}

function tableKind(text: string): FileKind | undefined {
  const header = headerOf(text);
  const kind = header.length > 2000 ? kindOfHeader(header) : headerKinds(header, kindOfHeader);
  if (kind !== 'curves') return kind;
  return text.split(/\r?\n/).some((line) => /^#\s*(?:serial|source):/.test(line)) ? 'result' : 'reference';
}

/** The first line that is neither blank nor a comment. */
function headerOf(text: string): string {
  for (let start = 0; start < text.length;) {
    const feed = text.indexOf('\n', start);
    const end = feed < 0 ? text.length : feed;
    if (text[start] !== '#') {
      const line = text.slice(start, end);
      if (line.trim() !== '') return line;
    }
    start = end + 1;
  }
  return '';
}

/** Thousands of results share a handful of header rows. */
const headerKinds = keptUpTo<ReturnType<typeof kindOfHeader>>(200);

/** What a header row tells; `curves` may be a reference or a result. */
function kindOfHeader(header: string): 'curves' | FileKind | undefined {
  const names = new Set(header.split(/[,;\t]/).map((cell) => parseColumnHeader(cell.replace(/^\s*"|"\s*$/g, '')).name));
  const has = (...wanted: string[]) => wanted.every((name) => names.has(name));
  if (has('velocity', 'compression', 'rebound')) return has('compressionU') ? 'result' : 'curves';
  if (has('time', 'displacement', 'force')) return 'testLog';
  return has('time', 'displacement') ? 'dutyLog' : undefined;
}
