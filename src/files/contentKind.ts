import { parseColumnHeader } from '../quantities/columnHeader';
import { foreignContent } from './contentLook';
import type { FileProblem } from './problem';
import { KIND_WORDS } from './recognise';
import type { FileKind } from './recognise';

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
  const text = new TextDecoder().decode(firstBytes.subarray(0, 16_384));
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
  const lines = text.split(/\r?\n/);
  const header = lines.find((line) => line.trim() !== '' && !line.startsWith('#')) ?? '';
  const names = new Set(header.split(/[,;\t]/).map((cell) => parseColumnHeader(cell.replace(/^\s*"|"\s*$/g, '')).name));
  const has = (...wanted: string[]) => wanted.every((name) => names.has(name));
  if (has('velocity', 'compression', 'rebound')) {
    return has('compressionU') || lines.some((line) => /^#\s*(?:serial|source):/.test(line)) ? 'result' : 'reference';
  }
  if (has('time', 'displacement', 'force')) return 'testLog';
  return has('time', 'displacement') ? 'dutyLog' : undefined;
}
