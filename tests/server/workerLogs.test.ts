import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { GitRevisions } from '../../src/platform/node/gitRevisions';
import { nodeDigest } from '../../src/platform/node/nodeDigest';
import { nodeGunzip } from '../../src/platform/node/nodeGunzip';
import { WorkerOffload } from '../../src/platform/node/workerOffload';
import type { RepositoryFiles } from '../../src/ports/repositoryFiles';
import { digestOfSource } from '../../src/session/lineEndings';
import { reduceLogJob } from '../../src/session/reduceLogJob';
import type { LogAnswer, LogJob } from '../../src/server/logWorker';
import { workerLogs } from '../../src/server/workerLogs';
import { bundled } from '../platform/bundled';
import { ScriptedGit } from '../repositories/scriptedGit';
import { logText } from '../session/workshop';
import { manyRows } from './manyRows';

/** Tells what each thread was given to do. */
class WatchedOffload extends WorkerOffload<LogJob, LogAnswer> {
  readonly jobs: string[] = [];

  override run(job: LogJob, ...rest: [signal?: never, handedOver?: never]): Promise<LogAnswer> {
    this.jobs.push(`${'root' in job ? 'disk' : 'lent'} ${'digest' in job ? 'digest' : 'reduction'}`);
    return super.run(job, ...rest);
  }
}

const LARGE = 'large.testlog.csv';
const SMALL = 'small.testlog.csv';

let folder: string;
let git: ScriptedGit;
let revisions: GitRevisions;
let files: RepositoryFiles;
let offload: WatchedOffload;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'damper-review-revision-logs-'));
  git = new ScriptedGit(mkdtempSync(join(folder, 'git-'))).init();
  const log = logText({ serial: 'F-002', seed: 2 });
  const large = manyRows(log, 3 * 1024 * 1024);
  git.commit('first', { [LARGE]: large.replaceAll('\n', '\r\n'), [SMALL]: log });
  git.commit('second', { [LARGE]: null, [SMALL]: null });
  revisions = await GitRevisions.open(git.folder);
  files = await revisions.filesAt(await revisions.resolve('HEAD~1'));
  offload = new WatchedOffload(pathToFileURL(await bundled(folder, 'worker', "import './src/server/logWorker';")), 1);
});
afterAll(async () => {
  await offload.close();
  await revisions.close();
  rmSync(folder, { recursive: true });
});

describe('logs of a revision', () => {
  it.each([
    [LARGE, ['lent digest', 'lent reduction']],
    [SMALL, ['lent reduction']],
  ])('%s is read in the worker thread, to the same outcome', async (path, jobs) => {
    offload.jobs.length = 0;
    const { logs, digests } = workerLogs(offload, { root: git.folder, files, isElsewhere: () => true });
    expect(await digests.run(path)).toBe(await digestOfSource(nodeDigest, path, files.open(path)));
    const report = await logs.run({ file: path });
    expect(report.kind).toBe('read');
    expect(report).toEqual(await reduceLogJob({ files, gunzip: nodeGunzip() }, { file: path }));
    expect(offload.jobs).toEqual(jobs);
  });

  it('that are the disk’s own the thread reads itself', async () => {
    offload.jobs.length = 0;
    const { logs } = workerLogs(offload, { root: git.folder, files, isElsewhere: () => false });
    expect(await logs.run({ file: LARGE })).toMatchObject({ kind: 'fault', passing: true }); // it is not in the work tree
    expect(offload.jobs).toEqual(['disk reduction']);
  });

  it('give up when they are no longer asked for, and git serves the next one', async () => {
    const { logs } = workerLogs(offload, { root: git.folder, files, isElsewhere: () => true });
    const controller = new AbortController();
    const given = logs.run({ file: LARGE }, controller.signal);
    controller.abort();
    await expect(given).rejects.toThrow('cancelled');
    expect((await logs.run({ file: SMALL })).kind).toBe('read');
  });
});
