import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { REQUEST } from '../../src/protocol/requests';
import { isPageView } from '../../src/protocol/viewGuards';
import { nodePlatform } from '../../src/server/nodePlatform';
import { bundled } from '../platform/bundled';
import { ScriptedGit } from '../repositories/scriptedGit';
import { LOGS, REFERENCES, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { StartedServer } from './startedServer';

/* The server on a disk with git: revisions side by side, the branch, adopting; and none of it where the workspace is not trusted. */
let folder = '';
let worker: URL;
let server: StartedServer | undefined;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'damper-server-'));
  worker = pathToFileURL(await bundled(folder, 'logWorker', "import './src/server/logWorker';"));
});
afterEach(async () => {
  await server?.stop();
  server = undefined;
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

async function workshopGit(): Promise<ScriptedGit> {
  const git = new ScriptedGit(mkdtempSync(join(folder, 'git-'))).init();
  git.commit('first', await workshopFiles());
  return git;
}

async function start(git: ScriptedGit, trusted = true): Promise<string> {
  const root = pathToFileURL(git.folder).href;
  const platform = nodePlatform({ trusted, cacheFolder: join(folder, 'cache') }, worker);
  server = await StartedServer.start({ platform, open: [root], trusted });
  return root;
}

const AGAIN = 'reference: alder-front.refcurve.csv';

describe('the history in the editor', () => {
  it('judges what lies on the disk, logs read in a worker, and compares two revisions of a file', async () => {
    const git = await workshopGit();
    const first = git.git('rev-parse', 'HEAD');
    const { [LOGS.two]: log, [resultOf(LOGS.two)]: soft } = await workshopFiles();
    git.commit('another rebound', {
      [LOGS.one]: text(log!).replace('F-002', 'F-001'),
      [resultOf(LOGS.one)]: text(soft!).replaceAll('F-002', 'F-001'),
    });
    const root = await start(git);
    expect(server!.shown.get(`${root}/${resultOf(LOGS.two)}`)?.map(({ code }) => code)).toContain(
      'drift-from-reference',
    );
    const path = `${root}/${resultOf(LOGS.one)}`;
    const view = await server!.request(REQUEST.compare, { a: `${path}@${first}`, b: path });
    expect(isPageView(view)).toBe(true);
    expect(view.sentences.join(' ')).toMatch(/rebound \d+(\.\d)? % softer/);
    await expect(server!.request(REQUEST.compare, { a: `${path}@no-such-revision`, b: path })).rejects.toThrow(
      /no-such-revision/,
    );
  });

  it('shows the branch against what it left, with the causes', async () => {
    const git = await workshopGit();
    git.branch('wider').commit('wider tolerance', { [SPECS.front]: specText('alder-front', '40 %') });
    const root = await start(git);
    const view = await server!.request(REQUEST.branch, { uri: `${root}/${SPECS.front}`, base: 'main' });
    expect(isPageView(view)).toBe(true);
    expect(view.sentences.join(' ')).toContain('This branch itself moves: tolerance.');
    const turned = view.changed.find(({ uri }) => uri === `${root}/${resultOf(LOGS.two)}`)!;
    expect([turned.before, turned.after]).toEqual(['fail', 'pass']);
    expect(turned.change).toBe('fail to pass with the tolerance');
    const { a, b } = turned.compare!;
    const compared = await server!.request(REQUEST.compare, { a, b });
    expect(compared.sentences.join(' ')).toContain('unchanged');
  });

  it('gives a result as the reference, as an edit, and says what turns', async () => {
    const git = await workshopGit();
    const root = await start(git);
    const uris = [`${root}/${resultOf(LOGS.one)}`];
    const { files } = await server!.request(REQUEST.adopt, { uris, reason: 'First approved unit' });
    expect(files.map(({ uri }) => uri)).toEqual([`${root}/${REFERENCES.front}`]);
    expect(files[0]!.text).toContain('First approved unit');
    expect(git.git('status', '--porcelain')).toBe('');
    await expect(server!.request(REQUEST.adopt, { uris, reason: ' ' })).rejects.toThrow(/needs a reason/);
    git.put({ [SPECS.front]: specText('alder-front').replace(AGAIN, `${AGAIN} # seen`) });
    await expect(server!.request(REQUEST.adopt, { uris, reason: 'Again' })).rejects.toThrow(/commit/i);
  });

  it('starts nothing where the workspace is not trusted, and says so', async () => {
    const git = await workshopGit();
    const root = await start(git, false);
    const path = `${root}/${resultOf(LOGS.one)}`;
    expect(server!.shown.size).toBeGreaterThan(0);
    await expect(server!.request(REQUEST.compare, { a: `${path}@HEAD`, b: path })).rejects.toThrow(
      /Trust the workspace/,
    );
    await expect(server!.request(REQUEST.branch, {})).rejects.toThrow(/no program is started/);
  });
});

function text(bytes: Uint8Array): string {
  return new TextDecoder().decode(bytes);
}
