import type { Command } from 'commander';
import type { AdoptOptions } from './adoptCommand';
import type { ChangesOptions } from './changesCommand';
import type { GitDiffOptions } from './gitDiffCommand';
import { FAIL_ON, parseFailOn, REVIEW_FORMATS, type ReviewFormat } from './options';

type WithOutput = (command: Command, examples: readonly string[], formats?: readonly ReviewFormat[]) => Command;

/* Commands about the history of the files. */

export function addChanges(root: Command, withOutput: WithOutput): void {
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

export function addAdopt(root: Command): void {
  root
    .command('adopt')
    .description('make a result, or the mean of several, the reference curve of its spec, saying so in its preamble')
    .argument('<result...>', 'results of one spec that were run alike')
    .requiredOption('--reason <text>', 'why these curves are to hold from now on, one line')
    .option('--yes', 'write without asking; without a terminal nothing is written otherwise', false)
    .option('--root-file', 'write damper-review.yaml as well where there is none', false)
    .option('--color', 'colour the text even where standard output is no terminal')
    .option('--no-color', 'never colour the text')
    .option('--no-cache', 'neither use nor keep reduced logs in the cache folder')
    .addHelpText(
      'after',
      `
Shows every verdict that would turn, then asks. Refuses on changes that are not committed, and on a result with a failing loop.

Examples:
  $ damper-review adopt dampers/F-001/build-1/delivery.result.csv --reason "First approved unit"
  $ damper-review adopt run-1.result.csv run-2.result.csv run-3.result.csv --reason "Mean of three runs" --yes`,
    )
    .action(async (results: string[], options: AdoptOptions) => {
      const { runAdopt } = await import('./adoptCommand');
      await runAdopt(results, options);
    });
}

export function addGitDiff(root: Command): void {
  root
    .command('git-diff')
    .description('make plain git diff of this clone show results and reference curves as tables of old, new and drift')
    .argument('[arguments...]', "git's own, where git starts it")
    .option('--install', 'write it into this clone: nothing of it is committed')
    .option('--uninstall', 'take it away again')
    .addHelpText('after', '\nExamples:\n  $ damper-review git-diff --install\n  $ git diff main')
    .action(async (args: string[], options: GitDiffOptions) => {
      const { runGitDiff } = await import('./gitDiffCommand');
      await runGitDiff(args, options);
    });
}
