import { Command } from 'commander';
import type { CommanderError } from 'commander';
import { addAdopt, addChanges, addGitDiff } from './branchCommands';
import { productVersion } from './productVersion';
import { DOCUMENT_FORMATS, FAIL_ON, parseFailOn, parseFormat, parseReport, REVIEW_FORMATS } from './options';
import type { DocumentFormat, FailOn, ReportRequest, ReviewFormat } from './options';

export interface OutputOptions<Format extends ReviewFormat = DocumentFormat> {
  readonly format: Format;
  readonly report: readonly ReportRequest<Format>[];
  readonly color?: boolean;
}
export interface CheckOptions extends OutputOptions<ReviewFormat> {
  readonly failOn: FailOn;
  readonly cache: boolean;
}

const DESCRIPTION = `Reviews damper test results against their spec: force-velocity drift with a verdict, loops, and what to check next.
Everything runs on this machine; nothing is sent anywhere.`;

const CAUTIONS = `
Cautions: dampers hold gas under high pressure, and benches crush. Vent by the maker's procedure, keep the guards shut.
A pass concerns the measured curves alone; local codes and licensed practice decide on use on road or track.`;

type AddCommand = (root: Command) => void;

/** In the order in which --help lists them. Each command's code is loaded when it runs, so that --help and small commands start fast. */
const COMMANDS: Readonly<Record<string, AddCommand>> = {
  check: addCheck,
  reduce: addReduce,
  compare: addCompare,
  correct: addCorrect,
  changes: (root) => {
    addChanges(root, withOutput);
  },
  adopt: addAdopt,
  'git-diff': addGitDiff,
};

/**
 * The command line. Where a command is named first, as always but for help, it alone is set up: the others take 3 ms of every start.
 * @param words after the program's own name
 */
export function program(words: readonly string[]): Command {
  const root = new Command('damper-review')
    .description(DESCRIPTION)
    .version(productVersion())
    .showHelpAfterError('Run damper-review --help, or damper-review COMMAND --help, for what it takes.')
    .exitOverride(asFailure)
    .addHelpText('after', `\ndamper-review COMMAND --help shows examples.\n${CAUTIONS}`);
  const [first = ''] = words;
  const asked = Object.hasOwn(COMMANDS, first) ? [COMMANDS[first]!] : Object.values(COMMANDS);
  for (const add of asked) add(root);
  for (const command of root.commands) command.exitOverride(asFailure);
  return root;
}

function addCheck(root: Command): void {
  withOutput(
    root
      .command('check')
      .description('judge every result and test log below PATH against its reference curve')
      .argument('[path...]', 'folders, results or test logs of one repository; this folder where none is named')
      .option(
        '--fail-on <verdict>',
        `exit status 1 from this verdict on: ${FAIL_ON.join(', ')}`,
        parseFailOn,
        'undecided',
      )
      .option('--no-cache', 'neither use nor keep reduced logs and outcomes in the cache folder'),
    [
      'damper-review check                              everything below this folder',
      'damper-review check dampers/F-002                one damper',
      'damper-review check --format json > review.json  for a program',
      'damper-review check --report html=review.html    a release sheet to print, beside the text',
      'damper-review check --format github              annotations of the lines, inside a workflow',
    ],
    REVIEW_FORMATS,
  ).action(async (paths: string[], options: CheckOptions) => {
    const { runCheck } = await import('./checkCommand');
    await runCheck(paths, options);
  });
}

function addReduce(root: Command): void {
  withExamples(
    root
      .command('reduce')
      .description(
        'write the result of test logs beside them: the force-velocity table that check holds against the reference',
      )
      .argument('<log...>', 'test logs of one repository')
      .option('--no-cache', 'neither use nor keep reduced logs in the cache folder'),
    ['damper-review reduce dampers/F-002/build-2/alder-front.testlog.csv.gz'],
  ).action(async (logs: string[], options: { cache: boolean }) => {
    const { runReduce } = await import('./reduceCommand');
    await runReduce(logs, options);
  });
}

function addCompare(root: Command): void {
  withOutput(
    root
      .command('compare')
      .description(
        'hold two builds (SERIAL/BUILD), results or test logs against each other, here or at any commit: curves, drift, what changed in the spec',
      )
      .argument(
        '<a>',
        'the earlier one: a path that exists wins over SERIAL/BUILD; either with @REVISION is read at that commit',
      )
      .argument('<b>', 'the later one')
      .option('--no-cache', 'neither use nor keep reduced logs in the cache folder'),
    [
      'damper-review compare F-002/1 F-002/2',
      'damper-review compare old.result.csv new.result.csv --format markdown',
      'damper-review compare specs/larch-front.refcurve.csv@main specs/larch-front.refcurve.csv',
    ],
  ).action(async (a: string, b: string, options: OutputOptions & { cache: boolean }) => {
    const { runCompare } = await import('./compareCommand');
    await runCompare(a, b, options);
  });
}

function addCorrect(root: Command): void {
  withOutput(
    root
      .command('correct')
      .description('what explains the drift of a result, and whether clicks mend it; changes no verdict')
      .argument('<result>', 'a result, test log or folder of one; or SERIAL/BUILD, the latest test of that build')
      .option('--no-cache', 'neither use nor keep reduced logs in the cache folder'),
    ['damper-review correct dampers/F-003/build-1/delivery.result.csv', 'damper-review correct F-003/1 --format html'],
  ).action(async (name: string, options: OutputOptions & { cache: boolean }) => {
    const { runCorrect } = await import('./correctCommand');
    await runCorrect(name, options);
  });
}

function withOutput(
  command: Command,
  examples: readonly string[],
  formats: readonly ReviewFormat[] = DOCUMENT_FORMATS,
): Command {
  return withExamples(
    command
      .option(
        '--format <format>',
        `what standard output holds: ${formats.join(', ')}`,
        (text: string) => parseFormat(text, formats),
        'text',
      )
      .option(
        '--report <format=file>',
        'write a report to a file in the same run; may be given more than once',
        (text: string, before: readonly ReportRequest<ReviewFormat>[]) => [...before, parseReport(text, formats)],
        [],
      )
      .option('--color', 'colour the text even where standard output is no terminal')
      .option('--no-color', 'never colour the text'),
    examples,
  );
}

function withExamples(command: Command, examples: readonly string[]): Command {
  return command.addHelpText('after', `\nExamples:\n${examples.map((line) => `  $ ${line}`).join('\n')}`);
}

/** commander has printed help or its complaint already: what is left is the exit status. */
function asFailure(error: CommanderError): never {
  process.exit(error.exitCode === 0 ? 0 : 2);
}
