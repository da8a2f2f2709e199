import type { FileEdits } from '../../protocol/requests';
import { resultPathOf } from '../../files/recognise';
import { spellHidden } from '../../text/visible';
import { SessionFault } from '../../session/sessionFault';
import type { Place } from '../workspace';

/** The result of the run that a result or test log belongs to, from its logs as they are now. @throws SessionFault where there is none */
export async function reduceEdits({ repository, path }: Place): Promise<FileEdits> {
  const logs = repository.resultOf(path)?.logs ?? [];
  const { written, problems } = await repository.session.reduce([path, ...logs.filter((log) => log !== path)]);
  const own = written.filter((file) => file.path === path || file.result.logs.includes(path));
  const chosen = own.length > 0 ? own : written.filter((file) => logs.some((log) => resultPathOf(log) === file.path));
  if (chosen.length === 0) {
    const [problem] = problems;
    throw problem === undefined
      ? new SessionFault('None of its test logs gives this result.', 'Reduce the test log beside it.')
      : new SessionFault(`${problem.file}:${problem.position.line}: ${problem.message}`, problem.next);
  }
  return {
    files: chosen.map((file) => ({
      uri: repository.folder.uriOf(file.path),
      text: new TextDecoder().decode(file.bytes),
      isNew: repository.resultOf(file.path) === undefined,
    })),
    notes: problems.map(({ file, position, message }) => spellHidden(`${file}:${position.line}: ${message}`)),
  };
}
