import { AbortedError } from '../../ports/abort';
import { FilePortError, type FilePortCode } from '../../ports/repositoryFiles';

/** What the owner sends to its worker. */
export type ToWorker =
  | { readonly kind: 'run'; readonly id: number; readonly request: unknown }
  | { readonly kind: 'abort'; readonly id: number };

/** What a worker answers. */
export type FromWorker =
  | { readonly kind: 'done'; readonly id: number; readonly result: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly error: PlainError };

/** Errors lose their class on the way through a message; this says which it was. */
export type PlainError =
  | { readonly is: 'aborted' }
  | { readonly is: 'file'; readonly code: FilePortCode; readonly path: string; readonly message: string }
  | { readonly is: 'other'; readonly message: string; readonly stack?: string };

export function toPlainError(error: unknown): PlainError {
  if (error instanceof AbortedError) return { is: 'aborted' };
  if (error instanceof FilePortError) return { is: 'file', code: error.code, path: error.path, message: error.message };
  if (!(error instanceof Error)) return { is: 'other', message: String(error) };
  return error.stack === undefined
    ? { is: 'other', message: error.message }
    : { is: 'other', message: error.message, stack: error.stack };
}

export function fromPlainError(plain: PlainError): Error {
  if (plain.is === 'aborted') return new AbortedError();
  if (plain.is === 'file') return new FilePortError(plain.code, plain.path, plain.message);
  const error = new Error(plain.message);
  if (plain.stack !== undefined) error.stack = plain.stack;
  return error;
}
