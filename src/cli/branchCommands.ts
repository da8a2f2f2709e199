import type { Command } from 'commander';
import type { ChangesOptions } from './changesCommand';
import { FAIL_ON, parseFailOn, REVIEW_FORMATS, type ReviewFormat } from './options';

type WithOutput = (command: Command, examples: readonly string[], formats?: readonly ReviewFormat[]) => Command;

/** Commands about the history of the files. */
export function addBranchCommands(root: Command, withOutput: WithOutput): void {
  withOutput(
    root
      .command('changes')
      .description(
        'what a branch changes since it left its base: verdicts before and after and why they turned, references, tolerances and waivers that moved',
      )
      .option('--base <revision>', 'branch, tag or commit that it left; without it the default branch of the clone')
      .option(
        '--fail-on <verdict>',
        `exit status 1 from this verdict of a changed or turned result on: ${FAIL_ON.join(', ')}`,
        parseFailOn,
        'undecided',
      )
      .option('--no-cache', 'neither use nor keep reduced logs in the cache folder'),
    ['damper-review changes', 'damper-review changes --base origin/main --format markdown > comment.md'],
    REVIEW_FORMATS,
  ).action(async (options: ChangesOptions) => {
    const { runChanges } = await import('./changesCommand');
    await runChanges(options);
  });
}
