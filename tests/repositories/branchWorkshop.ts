import type { ForceTable } from '../../src/files/forceTable';
import { readForceTable } from '../../src/files/readForceTable';
import { writeForceTable } from '../../src/files/writeForceTable';
import { MemoryFiles } from '../../src/platform/memory/memoryFiles';
import { MemoryStore } from '../../src/platform/memory/memoryServices';
import { copyOfTable } from '../files/support';
import {
  CONFIG,
  LOGS,
  logText,
  openSession,
  REFERENCES,
  resultOf,
  SPECS,
  specText,
  workshopFiles,
} from '../session/workshop';
import { ScriptedGit } from './scriptedGit';

type Files = Readonly<Record<string, string | Uint8Array | null>>;

/** Reduced logs of every state of the script: read once. */
export const store = new MemoryStore();

/** All files of one commit, so that the next one can be reduced and edited from them. */
export class BranchState {
  readonly files: MemoryFiles;

  constructor(files: Readonly<Record<string, Uint8Array>>) {
    this.files = new MemoryFiles(files);
  }

  async copy(): Promise<BranchState> {
    const { files } = await this.files.list('');
    const all = await Promise.all(files.map(async ({ path }) => [path, await this.files.read(path)] as const));
    return new BranchState(Object.fromEntries(all));
  }

  set(files: Files): this {
    for (const [path, content] of Object.entries(files)) {
      if (content === null) this.files.remove(path);
      else this.files.set(path, content);
    }
    return this;
  }

  async text(path: string): Promise<string> {
    return new TextDecoder().decode(await this.files.read(path));
  }

  /** An edit of a text; it must change something. */
  async edited(path: string, edit: (text: string) => string): Promise<Files> {
    const before = await this.text(path);
    const after = edit(before);
    if (after === before) throw new Error(`The edit of ${path} changed nothing.`);
    return { [path]: after };
  }

  /** The results of some logs, written as `reduce` writes them. */
  async reduced(...logs: readonly string[]): Promise<Files> {
    const { written, problems } = await openSession(this.files, { store }).session.reduce([...logs]);
    if (problems.length > 0) throw new Error(problems.map(({ file, message }) => `${file}: ${message}`).join('\n'));
    return Object.fromEntries(written.map(({ path, bytes }) => [path, bytes]));
  }

  /** A reference with every row changed. */
  async movedReference(
    path: string,
    change: (row: ForceTable['rows'][number]) => ForceTable['rows'][number] | undefined,
  ): Promise<Files> {
    const table = copyOfTable(readForceTable(path, await this.files.read(path)).table!);
    return { [path]: writeForceTable({ ...table, rows: table.rows.flatMap((row) => change(row) ?? []) }) };
  }
}

/** A share of the rebound damping, the gas force left as it is. */
export function softenRebound(share: number) {
  return (row: ForceTable['rows'][number]) => ({ ...row, rebound: (row.rebound - GAS) * share + GAS });
}
/** Constant force of the workshop's dampers [N], near enough to soften by. */
const GAS = 120;

export const PATHS = {
  altered: 'dampers/F-007/build-1/seven.testlog.csv',
  shortTest: 'dampers/F-006/build-1/six.testlog.csv',
  coarse: 'dampers/F-009/build-1/nine.testlog.csv',
  late: 'dampers/F-005/build-1/five.testlog.csv',
  failed: 'dampers/F-008/build-1/eight.testlog.csv',
  again: 'dampers/F-008/build-1/eight-again.testlog.csv',
  second: 'dampers/F-002/build-2/two.testlog.csv',
} as const;

const CONFIG_TWO = CONFIG.replace(
  'benches:\n',
  'benches:\n  bench-2: { loadCell: { U: 45 N }, displacementU: 0.02 mm }\n',
);

/** The log of a test that ended before the fastest step. */
function shortened(text: string): string {
  const lines = text.split('\n');
  return `${lines.slice(0, Math.floor(lines.length * 0.8)).join('\n')}\n`;
}

/**
 * The history of an invented workshop: `main`, and a branch for every thing that a branch may do to results and to what they are judged by.
 * The same script gives the same commits.
 */
export async function scriptBranches(folder: string): Promise<{ git: ScriptedGit; commits: number }> {
  const git = new ScriptedGit(folder).init();
  let commits = 0;
  const commit = (message: string, files: Files): void => {
    commits += 1;
    git.commit(message, files);
  };
  const main = new BranchState(await workshopFiles());
  const advance = async (day: string, message: string, files: Files | Promise<Files>): Promise<void> => {
    const changes = await files;
    main.set(changes);
    git.on(day);
    commit(message, changes);
  };

  git.on('2026-02-01');
  commit('The workshop', Object.fromEntries((await openAll(main)).map(([path, bytes]) => [path, bytes])));
  await advance('2026-02-02', 'A second bench', { 'damper-review.yaml': CONFIG_TWO });
  main.set({
    [PATHS.altered]: logText({ serial: 'F-007', seed: 7 }),
    [PATHS.shortTest]: shortened(logText({ serial: 'F-006', seed: 6 })),
    [PATHS.coarse]: logText({ serial: 'F-009', seed: 9 }).replace('bench: bench-1', 'bench: bench-2'),
  });
  main.set(await main.reduced(PATHS.altered, PATHS.shortTest, PATHS.coarse));
  main.set(await main.edited(resultOf(PATHS.altered), alterLastForce));
  await advance('2026-02-20', 'Three more tests', await filesOf(main, [PATHS.altered, PATHS.shortTest, PATHS.coarse]));
  await advance('2026-03-02', 'Rear reference, a little', main.movedReference(REFERENCES.rear, softenRebound(0.97)));
  await advance(
    '2026-03-20',
    'Rear reference, a little more',
    main.movedReference(REFERENCES.rear, softenRebound(0.97)),
  );
  // F-005 was tested on 2026-04-01 and will fit only this one.
  await advance(
    '2026-04-10',
    'Front reference moved ahead',
    main.movedReference(REFERENCES.front, softenRebound(0.97)),
  );

  const branch = async (
    name: string,
    work: (
      state: BranchState,
      commit: (message: string, files: Files | Promise<Files>) => Promise<void>,
    ) => Promise<void>,
  ): Promise<void> => {
    git.on('2026-04-20').branch(name);
    const state = await main.copy();
    await work(state, async (message, files) => {
      const changes = await files;
      state.set(changes);
      commit(message, changes);
    });
  };

  await branch('reference', async (state, commitTo) => {
    await commitTo('Bend the reference to F-002', state.movedReference(REFERENCES.front, softenRebound(0.8 / 0.97)));
  });
  await branch('tolerance', async (_, commitTo) => {
    await commitTo('Wider tolerance', { [SPECS.front]: specText('alder-front', '30 %') });
  });
  await branch('plan', async (state, commitTo) => {
    await commitTo(
      'No more 300 mm/s',
      state.edited(SPECS.front, (text) => text.replace(', 300 mm/s]', ']')),
    );
  });
  await branch('bench', async (state, commitTo) => {
    state.set(await state.edited('damper-review.yaml', (text) => text.replace('U: 45 N', 'U: 2 N')));
    await commitTo('Recalibrated', {
      'damper-review.yaml': await state.text('damper-review.yaml'),
      ...(await state.reduced(PATHS.coarse)),
    });
  });
  await branch('waiver', async (state, commitTo) => {
    const waiver = `waivers: [{ rule: result-altered, file: "dampers/F-007/**", reason: "Slip of the pen", by: "Workshop", until: 2026-12-31 }]\n`;
    await commitTo(
      'Waive it',
      state.edited('damper-review.yaml', (text) => text + waiver),
    );
  });
  await branch('rules', async (state, commitTo) => {
    await commitTo(
      'Less strict',
      state.edited('damper-review.yaml', (text) => `${text}rules: { result-altered: { level: note } }\n`),
    );
  });
  await branch('mapping', async (state, commitTo) => {
    state.set(
      await state.edited('damper-review.yaml', (text) =>
        text.replace('{ header: "load", unit: N }', '{ header: "load", unit: N, positive: rebound }'),
      ),
    );
    await commitTo('Other sign', {
      'damper-review.yaml': await state.text('damper-review.yaml'),
      ...(await state.reduced(LOGS.foreign)),
    });
  });
  await branch('measurement', async (state, commitTo) => {
    state.set({
      [PATHS.second]: logText({ serial: 'F-002', build: '2', seed: 22, reboundShare: 0.97, date: '2026-04-15' }),
    });
    await commitTo('F-002 rebuilt', {
      ...(await filesOf(state, [PATHS.second], false)),
      ...(await state.reduced(PATHS.second)),
    });
    state.set({ [LOGS.one]: logText({ serial: 'F-001', seed: 41, reboundShare: 0.7, date: '2026-04-16' }) });
    await commitTo('F-001 tested again', {
      ...(await filesOf(state, [LOGS.one], false)),
      ...(await state.reduced(LOGS.one)),
    });
  });
  for (const declared of [false, true]) {
    await branch(declared ? 'retest-declared' : 'retest', async (state, commitTo) => {
      state.set({
        [PATHS.failed]: logText({ serial: 'F-008', seed: 8, reboundShare: 0.7, date: '2026-04-17T09:00:00Z' }),
      });
      await commitTo('F-008', {
        ...(await filesOf(state, [PATHS.failed], false)),
        ...(await state.reduced(PATHS.failed)),
      });
      const more = declared
        ? ['setting: {R: 4}', 'retest: {of: 2026-04-17, reason: Adjuster found at R 9}']
        : ['setting: {R: 4}'];
      state.set({ [PATHS.failed]: null, [resultOf(PATHS.failed)]: null });
      state.set({
        [PATHS.again]: logText({ serial: 'F-008', seed: 88, reboundShare: 0.97, date: '2026-04-17T11:00:00Z', more }),
      });
      await commitTo('F-008 is fine', {
        [PATHS.failed]: null,
        [resultOf(PATHS.failed)]: null,
        ...(await filesOf(state, [PATHS.again], false)),
        ...(await state.reduced(PATHS.again)),
      });
    });
  }
  await branch('rows', async (state, commitTo) => {
    await commitTo(
      'Shorter reference',
      state.movedReference(REFERENCES.front, (row) => (row.velocity > 0.25 ? undefined : row)),
    );
  });
  await branch('reference-gone', async (state, commitTo) => {
    await commitTo(
      'No reference',
      state.edited(SPECS.rear, (text) => text.replace(/^reference: .*\n/mu, '')),
    );
  });
  await branch('history', async (state, commitTo) => {
    const log = (await state.text(LOGS.two)).replace('serial: F-002', 'serial: F-020');
    const path = LOGS.two.replace('F-002', 'F-020');
    state.set({ [LOGS.two]: null, [resultOf(LOGS.two)]: null, [path]: log });
    await commitTo('It was F-020 all along', {
      [LOGS.two]: null,
      [resultOf(LOGS.two)]: null,
      [path]: log,
      ...(await state.reduced(path)),
    });
  });
  await branch('ahead', async (state, commitTo) => {
    state.set({
      [PATHS.late]: logText({ serial: 'F-005', seed: 5, reboundShare: 0.935, date: '2026-04-01T10:00:00Z' }),
    });
    await commitTo('F-005', { ...(await filesOf(state, [PATHS.late], false)), ...(await state.reduced(PATHS.late)) });
  });
  await branch('crept', async (state, commitTo) => {
    await commitTo('Rear reference, once more', state.movedReference(REFERENCES.rear, softenRebound(0.97)));
  });
  await branch('method', async (state, commitTo) => {
    await commitTo(
      'Other program',
      state.edited(resultOf(LOGS.one), (text) => text.replace('# method: 1', '# method: 2')),
    );
  });
  await branch('moved-folder', async (state, commitTo) => {
    const to = LOGS.rear.replace('R-001/build-1', 'rear/R-001/build-1');
    const log = await state.text(LOGS.rear);
    state.set({ [LOGS.rear]: null, [resultOf(LOGS.rear)]: null, [to]: log });
    await commitTo('Tidy up', {
      [LOGS.rear]: null,
      [resultOf(LOGS.rear)]: null,
      [to]: log,
      ...(await state.reduced(to)),
    });
  });
  await branch('comments', async (state, commitTo) => {
    await commitTo('Words only', {
      ...(await state.edited(SPECS.front, (text) => `# The front strut.\n${text}`)),
      ...(await state.edited('damper-review.yaml', (text) => `# Our benches.\n${text}`)),
      ...(await state.edited(REFERENCES.rear, (text) => text.replaceAll('\n', '\r\n'))),
      'README.md': 'Nothing of ours.\n',
    });
  });
  await branch('both', async (state, commitTo) => {
    await commitTo('A bit of each', {
      ...(await state.movedReference(REFERENCES.front, softenRebound(0.9))),
      [SPECS.front]: specText('alder-front', '10 %'),
    });
  });
  await branch('either', async (state, commitTo) => {
    await commitTo('Belt and braces', {
      ...(await state.movedReference(REFERENCES.front, softenRebound(0.8 / 0.97))),
      [SPECS.front]: specText('alder-front', '30 %'),
    });
  });
  git.checkout('main');
  return { git, commits };
}

async function openAll(state: BranchState): Promise<readonly (readonly [string, Uint8Array])[]> {
  const { files } = await state.files.list('');
  return Promise.all(files.map(async ({ path }) => [path, await state.files.read(path)] as const));
}

/** Logs, with their results where these are written already. */
async function filesOf(state: BranchState, logs: readonly string[], results = true): Promise<Files> {
  const paths = results ? [...logs, ...logs.map(resultOf)] : logs;
  return Object.fromEntries(
    await Promise.all(paths.map(async (path) => [path, await state.files.read(path)] as const)),
  );
}

/** The last compression force by 0.3 N: inside every tolerance, and not what the log gives. */
function alterLastForce(text: string): string {
  const lines = text.trimEnd().split('\n');
  const header = lines.find((line) => !line.startsWith('#'))!.split(',');
  const column = header.indexOf('compression [N]');
  const cells = lines.at(-1)!.split(',');
  cells[column] = (Number(cells[column]) + 0.3).toFixed(1);
  return `${[...lines.slice(0, -1), cells.join(',')].join('\n')}\n`;
}
