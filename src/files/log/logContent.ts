import { foreignContent, foreignContentProblem } from '../contentLook';
import { FileFault } from '../problem';

/** Bytes that are looked at. */
export const LOOKED_AT = 2048;

/**
 * Refuses what is no text at all, with words for what it looks like.
 *
 * @param bytes the file's first bytes, at least 2048 unless the file is shorter
 * @throws FileFault
 */
export function refuseOtherContent(file: string, bytes: Uint8Array): void {
  const start = bytes.subarray(0, LOOKED_AT);
  const found = foreignContent(start);
  if (found === undefined || (found === 'binary' && !looksBinary(start))) return;
  throw new FileFault([foreignContentProblem(file, start, found)!]);
}

/** A stray control character in a row is a fault of that row; in the first line, or in numbers, it means no text at all. */
function looksBinary(start: Uint8Array): boolean {
  const lineEnd = start.indexOf(10);
  const firstLine = lineEnd < 0 ? 256 : Math.min(lineEnd, 256);
  return start.subarray(0, firstLine).some(isControl) || start.filter(isControl).length > start.length / 20;
}

/** Control characters that text does not hold: all but tab, line ends, form feed and escape. */
function isControl(byte: number): boolean {
  return byte < 32 && byte !== 9 && byte !== 10 && byte !== 13 && byte !== 12 && byte !== 27;
}
