import type { FileProblem } from './problem';

/** What some bytes are, where they are not the UTF-8 text of one of our files. */
export type ForeignContent = 'empty' | 'large-file-pointer' | 'utf-16' | 'gzip' | 'archive' | 'binary';

/** Tells what a file is from its first bytes (512 are enough; fewer only where the file is shorter); undefined for plain text. */
export function foreignContent(bytes: Uint8Array): ForeignContent | undefined {
  if (bytes.length === 0) return 'empty';
  if (startsWith(bytes, POINTER_START)) return 'large-file-pointer';
  if (looksLikeUtf16(bytes)) return 'utf-16';
  if (bytes[0] === 0x1f && bytes[1] === 0x8b) return 'gzip';
  if (startsWith(bytes, 'PK\u0003\u0004')) return 'archive';
  return holdsControl(bytes, 8192) ? 'binary' : undefined;
}

/** The problem of a file whose bytes are something else, in words for any of our text files. @param found what they are */
export function foreignContentProblem(
  file: string,
  bytes: Uint8Array,
  found = foreignContent(bytes),
): FileProblem | undefined {
  if (found === undefined) return undefined;
  const place = { file, position: { line: 1, column: 1 } };
  if (found !== 'large-file-pointer') return { rule: 'unreadable', ...place, ...FOREIGN_WORDS[found] };
  const size = pointerSize(bytes);
  return {
    rule: 'large-file-pointer',
    ...place,
    ...(size === undefined ? {} : { value: `size ${size}` }),
    message: `This is the pointer of a large file${size === undefined ? '' : ` of ${size} bytes`} that was not fetched, not the file itself.`,
    remedy: 'Fetch the file with `git lfs pull`, then check again.',
  };
}

/** Whether the bytes are the pointer that stands in git for a large file. */
export function isLargeFilePointer(bytes: Uint8Array): boolean {
  return foreignContent(bytes) === 'large-file-pointer';
}

const POINTER_START = 'version https://git-lfs.github.com/spec/';

const FOREIGN_WORDS: Readonly<
  Record<Exclude<ForeignContent, 'large-file-pointer'>, { message: string; remedy: string }>
> = {
  empty: { message: 'The file is empty.', remedy: 'Restore its content, or remove the file.' },
  'utf-16': { message: 'The file is UTF-16 text.', remedy: 'Save it as UTF-8.' },
  gzip: {
    message: 'The file is compressed with gzip.',
    remedy: 'Expand it; only test logs may be compressed, and then end with .gz.',
  },
  archive: {
    message: 'The file is a packed archive or a spreadsheet, not text.',
    remedy: 'Save it as plain text in UTF-8.',
  },
  binary: { message: 'The file is binary, not text.', remedy: 'Save it as plain text in UTF-8.' },
};

const LENIENT = new TextDecoder();

function pointerSize(bytes: Uint8Array): string | undefined {
  return /^size (\d{1,15})$/m.exec(LENIENT.decode(bytes.subarray(0, 512)))?.[1];
}

function startsWith(bytes: Uint8Array, ascii: string): boolean {
  for (let at = 0; at < ascii.length; at++) if (bytes[at] !== ascii.charCodeAt(at)) return false;
  return true;
}

/** A UTF-16 mark, or text of mostly Latin letters with every second byte zero. */
function looksLikeUtf16(bytes: Uint8Array): boolean {
  if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) return true;
  const length = Math.min(64, bytes.length);
  const zeros = [0, 0];
  for (let at = 0; at < length; at++) if (bytes[at] === 0) zeros[at % 2]!++;
  return length >= 4 && Math.max(...zeros) > length / 3 && Math.min(...zeros) === 0;
}

/** Whether control characters that text does not hold stand in the first bytes: all but tab, line ends, form feed and escape. */
function holdsControl(bytes: Uint8Array, first: number): boolean {
  const end = Math.min(first, bytes.length);
  // A loop of its own, not `some`: every file that is read passes here, and a call for each byte took 0.05 ms a result.
  for (let at = 0; at < end; at++) {
    const byte = bytes[at]!;
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 27) return true;
  }
  return false;
}
