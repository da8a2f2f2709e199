import type { CodeLens } from 'vscode-languageserver';
import { COMMAND } from '../../protocol/requests';
import type { FileText } from '../fileText';
import { statusOf } from '../views/statusView';

/** One line over the file: the verdict, and what can be done with it. */
export function codeLensesOf(file: FileText): CodeLens[] {
  const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
  const status = statusOf(file);
  if (status === null) return [];
  if (file.repository.resultOf(file.path) === undefined)
    return [{ range, command: { title: status.sentence, command: '' } }];
  return [
    { range, command: { title: status.sentence, command: COMMAND.preview, arguments: [file.uri] } },
    { range, command: { title: 'Compare with...', command: COMMAND.compareWith, arguments: [file.uri] } },
  ];
}
