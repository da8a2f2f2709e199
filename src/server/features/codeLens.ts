import type { CodeLens } from 'vscode-languageserver';
import { verdictSentence } from '../../review/verdictSentence';
import { COMMAND } from '../../protocol/requests';
import { spellHidden } from '../../text/visible';
import type { FileText } from '../fileText';
import { statusOf } from '../views/statusView';

/** One line over the file: the verdict, and what can be done with it. */
export function codeLensesOf(file: FileText): CodeLens[] {
  const result = file.repository.resultOf(file.path);
  const range = { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } };
  if (result === undefined) {
    const status = statusOf(file);
    return status === null ? [] : [{ range, command: { title: status.sentence, command: '' } }];
  }
  return [
    {
      range,
      command: { title: spellHidden(verdictSentence(result)), command: COMMAND.preview, arguments: [file.uri] },
    },
    { range, command: { title: 'Compare with...', command: COMMAND.compareWith, arguments: [file.uri] } },
  ];
}
