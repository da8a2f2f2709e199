/** Why a text cannot name a spec, damper, build or bench. */
export interface IdentityFault {
  readonly message: string;
  readonly remedy: string;
}

const LONGEST_IDENTITY = 100;
/** Control characters, and the invisible ones that turn the direction of text or hide in it. */
const INVISIBLE = /[\p{C}\p{Zl}\p{Zp}]/u;

/**
 * Serials, builds and ids go into file names, pages, terminals and pull requests. Every sink escapes them, and yet a serial
 * with an escape sequence, a direction mark or markup is no serial: it is refused where it is read.
 */
export function identityFault(text: string): IdentityFault | undefined {
  if (text.trim() === '') return { message: 'There is no value here.', remedy: 'Write a value, or leave the key out.' };
  if (text.length > LONGEST_IDENTITY) {
    return {
      message: `The text has ${text.length} characters; at most ${LONGEST_IDENTITY} can name something.`,
      remedy: 'Shorten it.',
    };
  }
  const hidden = INVISIBLE.exec(text);
  if (hidden !== null) {
    const code = hidden[0].codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0');
    return {
      message: `The text holds the invisible character U+${code}.`,
      remedy: 'Type it again with letters, digits and ordinary signs.',
    };
  }
  if (/[<>]/.test(text))
    return {
      message: "The text holds '<' or '>', as markup does.",
      remedy: 'Write it with letters, digits and ordinary signs.',
    };
  return undefined;
}
