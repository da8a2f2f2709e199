import { program } from './program';
import { CommandFailure } from './failure';
import { complain, isAllWritten } from './standardStreams';

/**
 * The command line. Bad usage or an unreadable file: 2, whatever --fail-on says.
 * @returns whether everything is written, so that the process may end at once
 */
export async function main(): Promise<boolean> {
  try {
    await program(process.argv.slice(2)).parseAsync(process.argv);
  } catch (error) {
    const { escapeTerminal } = await import('../text/terminal');
    if (error instanceof Error && error.name === 'AbortedError') process.exit(130);
    const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
    const { SessionFault } = await import('../session/sessionFault');
    const { RevisionFault } = await import('../ports/revisions');
    const text =
      error instanceof CommandFailure
        ? error.message
        : error instanceof SessionFault || error instanceof RevisionFault
          ? `${error.message} ${error.remedy}`
          : `Something went wrong that should not. Please report it:\n${stack}`;
    complain(`damper-review: ${text.split('\n').map(escapeTerminal).join('\n')}\n`);
    process.exitCode = 2;
  }
  return isAllWritten();
}
