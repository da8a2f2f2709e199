import { createInterface } from 'node:readline/promises';
import { carryOut, planAdoption } from '../changes/adopt';
import { GitRevisions } from '../platform/node/gitRevisions';
import { NodeRepositoryWriter } from '../platform/node/nodeRepositoryWriter';
import { FilePortError } from '../ports/repositoryFiles';
import { renderAdoption } from '../reports/adoptionText';
import { escapeTerminal } from '../text/terminal';
import { CommandFailure } from './failure';
import { withBranch } from './openHistory';
import { terminalOf } from './output';
import { locateRepository } from './repositoryRoot';
import { complain, outputTerminal, print } from './standardStreams';

export interface AdoptOptions {
  readonly reason: string;
  /** Writes without asking. */
  readonly yes: boolean;
  /** Writes damper-review.yaml as well where there is none. */
  readonly rootFile: boolean;
  readonly color?: boolean;
  readonly cache: boolean;
}

const ROOT_FILE = 'damper-review.yaml';
const ROOT_TEXT = `# Marks this repository for Damper Spec Review; mappings of logs, bench data, rules and waivers go here.
formatVersion: 1
`;

/** `adopt`: shows what would turn, asks, and writes the reference in one step. */
export async function runAdopt(results: readonly string[], options: AdoptOptions): Promise<void> {
  const located = locateRepository(results, process.cwd());
  await withBranch(located.root, options.cache, GitRevisions.open(located.root), async (work, run) => {
    const plan = await planAdoption(work, located.paths, options.reason, run);
    await print(renderAdoption(plan, terminalOf(options)));
    if (!options.yes && !(await agreed(`Write ${plan.path}?`))) {
      complain('Nothing was written.\n');
      process.exitCode = 1;
      return;
    }
    const writer = new NodeRepositoryWriter(located.root);
    await carryOut(work, plan, writer, run).catch((error: unknown) => {
      if (error instanceof FilePortError)
        throw new CommandFailure(`${plan.path} was not written: it ${error.message}. Mend that and adopt again.`);
      throw error;
    });
    await print(`Written: ${escapeTerminal(plan.path)}. Commit it with its reason.\n`);
    await offerRootFile(work.work, writer, options);
  });
}

/** After the reference, so that a kill in between leaves an adoption that is done. */
async function offerRootFile(
  files: { stat(path: string): Promise<unknown> },
  writer: NodeRepositoryWriter,
  options: AdoptOptions,
): Promise<void> {
  if ((await files.stat(ROOT_FILE)) !== undefined) return;
  if (
    !options.rootFile &&
    !(process.stdin.isTTY && (await agreed(`There is no ${ROOT_FILE} at the root. Write one?`)))
  ) {
    complain(`There is no ${ROOT_FILE} at the root; --root-file writes one.\n`);
    return;
  }
  await writer.writeAtomic(ROOT_FILE, new TextEncoder().encode(ROOT_TEXT));
  await print(`Written: ${ROOT_FILE}\n`);
}

/** Only a person at a terminal is asked; elsewhere the answer is no. */
async function agreed(question: string): Promise<boolean> {
  const output = outputTerminal();
  if (!process.stdin.isTTY || output === undefined) {
    complain(`${escapeTerminal(question)} Say so with --yes.\n`);
    return false;
  }
  const lines = createInterface({ input: process.stdin, output });
  try {
    return /^y(?:es)?$/iu.test((await lines.question(`${escapeTerminal(question)} [y/N] `)).trim());
  } finally {
    lines.close();
  }
}
