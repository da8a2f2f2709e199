import { FilePortError } from '../ports/repositoryFiles';
import { NodeRepositoryWriter } from '../platform/node/nodeRepositoryWriter';
import { escapeTerminal } from '../text/terminal';
import { CommandFailure } from './failure';
import { locateRepository } from './repositoryRoot';
import { withSession } from './openSession';
import { complain, print } from './standardStreams';

/** `reduce`: writes the result of each run that the logs belong to. Nothing is written where a log of a run cannot be read. */
export async function runReduce(logs: readonly string[], options: { readonly cache: boolean }): Promise<void> {
  const located = locateRepository(logs, process.cwd());
  const reduced = await withSession(located.root, options.cache, (session, run) => session.reduce(located.paths, run));
  const writer = new NodeRepositoryWriter(located.root);
  const written: string[] = [];
  try {
    for (const { path, bytes } of reduced.written) {
      await writer.writeAtomic(path, bytes).catch((error: unknown) => {
        if (error instanceof FilePortError)
          throw new CommandFailure(`${path} was not written: it ${error.message}. Mend that and reduce again.`);
        throw error;
      });
      written.push(path);
    }
  } finally {
    for (const { file, position, message, next } of reduced.problems)
      complain(`${escapeTerminal(`${file}:${position.line}:${position.column}: ${message} ${next}`)}\n`);
    if (reduced.problems.length > 0) process.exitCode = 2;
    // Last: where nobody can be told, every result is written all the same.
    await print(written.map((path) => `${escapeTerminal(path)}\n`).join(''));
  }
}
