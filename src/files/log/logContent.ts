import { FileFault, type FileProblem } from '../problem';

const POINTER_START = 'version https://git-lfs.github.com/spec/';

/**
 * Refuses what is no text at all, with words for what it looks like.
 *
 * @param bytes the file's first bytes, at least 512 unless the file is shorter
 * @throws FileFault
 */
export function refuseOtherContent(file: string, bytes: Uint8Array): void {
  const problem = pointerProblem(file, bytes) ?? contentProblem(file, bytes);
  if (problem !== undefined) throw new FileFault([problem]);
}

function pointerProblem(file: string, bytes: Uint8Array): FileProblem | undefined {
  const text = new TextDecoder().decode(bytes.subarray(0, 512));
  if (!text.startsWith(POINTER_START)) return undefined;
  const size = /^size (\d{1,15})$/m.exec(text)?.[1];
  const extent = size === undefined ? '' : ` of ${size} bytes`;
  return {
    rule: 'large-file-pointer',
    file,
    position: { line: 1, column: 1 },
    ...(size === undefined ? {} : { value: `size ${size}` }),
    message: `This is the pointer of a large file${extent} that was not fetched, not the log itself.`,
    remedy: 'Fetch the file with `git lfs pull`, then check again.',
  };
}

function contentProblem(file: string, bytes: Uint8Array): FileProblem | undefined {
  const looks = contentLooks(bytes);
  if (looks === undefined) return undefined;
  return { rule: 'unreadable', file, position: { line: 1, column: 1 }, ...looks };
}

function contentLooks(bytes: Uint8Array): { message: string; remedy: string } | undefined {
  const [first, second, third, fourth] = bytes;
  if (first === undefined) return { message: 'The file is empty.', remedy: 'Export the log again from the bench.' };
  if (looksLikeUtf16(bytes))
    return { message: 'The file is UTF-16 text.', remedy: 'Save it as UTF-8, or export it as plain text again.' };
  if (first === 0x1f && second === 0x8b)
    return { message: 'The file is compressed with gzip.', remedy: 'Let its name end with .gz, or expand it.' };
  if (first === 0x50 && second === 0x4b && third === 3 && fourth === 4)
    return {
      message: 'The file is a packed archive or a spreadsheet, not text.',
      remedy: 'Export the log as CSV text.',
    };
  if (looksBinary(bytes))
    return { message: 'The file is binary, not text.', remedy: 'Export the log as CSV text in UTF-8.' };
  return undefined;
}

function looksLikeUtf16(bytes: Uint8Array): boolean {
  if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) return true;
  const start = bytes.subarray(0, 64);
  const odd = start.filter((byte, at) => byte === 0 && at % 2 === 1).length;
  const even = start.filter((byte, at) => byte === 0 && at % 2 === 0).length;
  return start.length >= 4 && Math.max(odd, even) > start.length / 3 && Math.min(odd, even) === 0;
}

/** A stray control character in a row is a fault of that row; in the first line, or in numbers, it means no text at all. */
function looksBinary(bytes: Uint8Array): boolean {
  const start = bytes.subarray(0, 2048);
  const lineEnd = start.indexOf(10);
  const firstLine = lineEnd < 0 ? 256 : Math.min(lineEnd, 256);
  let odd = 0;
  for (let at = 0; at < start.length; at++) {
    if (!isControl(start[at]!)) continue;
    if (at < firstLine) return true;
    odd++;
  }
  return odd > start.length / 20;
}

/** Control characters that text does not hold: all but tab, line ends, form feed and escape. */
function isControl(byte: number): boolean {
  return byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 27;
}
