import { afterEach, describe, expect, it } from 'vitest';
import { REQUEST } from '../../src/protocol/requests';
import { LOGS, logText, resultOf, SPECS, specText, workshopFiles } from '../session/workshop';
import { HeldFiles, LARGE } from './heldFiles';
import { ROOT, StartedServer } from './startedServer';

/* A review that takes long shows how far it is, and can be stopped. */
let server: StartedServer | undefined;
let files: HeldFiles;
afterEach(async () => {
  files.release();
  await server?.stop();
  server = undefined;
});

const status = (path: string) => server!.request(REQUEST.status, { uri: server!.uri(path) });

/** Lets every reading of the large log pass while something is done. */
async function passing(work: () => Promise<unknown>): Promise<void> {
  const letGo = setInterval(() => {
    files.release();
  }, 5);
  try {
    await work();
  } finally {
    clearInterval(letGo);
  }
}

async function start(onMade: (made: StartedServer) => Promise<void>): Promise<void> {
  files = new HeldFiles(await workshopFiles());
  await StartedServer.start({
    folders: new Map([[ROOT, files]]),
    patience: 10,
    onMade: async (made) => {
      server = made;
      await onMade(made);
    },
  });
}

/** Stops what is shown, as the user does. */
async function stopShown(made: StartedServer): Promise<void> {
  const next = made.nextSet();
  await made.client.sendNotification('window/workDoneProgress/cancel', { token: made.progress.at(-1)!.token });
  await next;
}

describe('a review that takes long', () => {
  it('shows its share and the file that it waits for, and that it is over', async () => {
    await start(async (made) => {
      await expect.poll(() => made.progress[0]?.told.length ?? 0).toBeGreaterThan(0);
      const [begin] = made.progress[0]!.told;
      expect(begin).toMatchObject({ kind: 'begin', title: 'Review of shop', cancellable: true });
      await expect
        .poll(() => made.progress[0]!.told.map((told) => ('message' in told ? told.message : '')).at(-1))
        .toBe(`Reading ${LARGE}`);
      await passing(() => expect.poll(() => made.progress[0]!.told.at(-1)?.kind).toBe('end'));
    });
    const shares = server!.progress[0]!.told.flatMap((told) => ('percentage' in told ? [told.percentage] : []));
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(server!.progress).toHaveLength(1);
  });

  it('is one piece of work to the user, whatever is typed meanwhile', async () => {
    await start(async (made) => {
      await made.open(SPECS.rear);
      await expect.poll(() => made.progress[0]?.told.length ?? 0).toBeGreaterThan(0);
      for (let percent = 11; percent < 15; percent++) {
        await made.type(SPECS.rear, specText('birch-rear', `${percent} %`));
        await new Promise((resolve) => setTimeout(resolve, 30));
      }
      await passing(() => expect.poll(() => made.published).toBe(1));
    });
    expect(server!.progress).toHaveLength(1);
    expect(server!.progress[0]!.told.at(-1)?.kind).toBe('end');
  });

  it('rests when the user stops it, says so, gives up the reading, and goes on at the next change', async () => {
    await start(async (made) => {
      await expect.poll(() => files.readings.length).toBe(1);
      await expect.poll(() => made.progress[0]?.told.length ?? 0).toBeGreaterThan(0);
      await stopShown(made);
      expect(files.readings[0]!.signal?.aborted).toBe(true);
      expect(made.progress[0]!.told.at(-1)?.kind).toBe('end');
    });
    expect(await status(resultOf(LOGS.one))).toEqual({
      sentence: 'The review was stopped: nothing is judged yet',
      stopped: true,
    });
    expect(server!.shown.size).toBe(0);
    await passing(() => server!.settledAfter(() => server!.write(SPECS.rear, specText('birch-rear', '12 %'))));
    expect(server!.listed(resultOf(LARGE)).join()).toContain('drift-from-reference');
    expect(await status(resultOf(LARGE))).toMatchObject({ verdict: 'fail' });
  });

  it('goes on by a command, and until then keeps the verdicts of the state before', async () => {
    await start((made) => passing(() => expect.poll(() => made.published).toBe(1)));
    const before = (await status(resultOf(LARGE)))!;
    expect(before.stopped).toBeUndefined();
    const shown = server!.progress.length;
    await server!.write(LARGE, logText({ serial: 'F-002', seed: 9 }));
    await expect.poll(() => server!.progress.at(shown)?.told.length ?? 0).toBeGreaterThan(0);
    await stopShown(server!);
    expect(await status(resultOf(LARGE))).toEqual({
      verdict: before.verdict,
      sentence: `The review was stopped; before: ${before.sentence}`,
      stopped: true,
    });
    await passing(() => server!.request(REQUEST.goOn, null));
    expect((await status(resultOf(LARGE)))!.stopped).toBeUndefined();
    expect(server!.listed(resultOf(LARGE)).join()).toContain('result-stale');
  });
});
