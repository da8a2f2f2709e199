import { ErrorCodes, LSPErrorCodes, ResponseError } from 'vscode-languageserver';
import { AbortedError } from '../ports/abort';
import { RevisionFault } from '../ports/revisions';
import { SessionFault } from '../session/sessionFault';
import { spellHidden } from '../text/visible';

/** A fault as the user reads it. What is no fault of the user's goes on as it is. */
export function inWords(error: unknown): ResponseError {
  if (error instanceof SessionFault || error instanceof RevisionFault)
    return new ResponseError(ErrorCodes.InvalidParams, spellHidden(`${error.message} ${error.remedy}`));
  if (error instanceof AbortedError)
    return new ResponseError(LSPErrorCodes.RequestCancelled, 'The request was given up.');
  const message = error instanceof Error ? error.message : String(error);
  return new ResponseError(ErrorCodes.InternalError, spellHidden(`The program failed: ${message}.`));
}
