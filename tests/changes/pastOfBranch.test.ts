import { describe, expect, it } from 'vitest';
import { PastOfBranch } from '../../src/changes/pastOfBranch';
import type { FileVersion } from '../../src/ports/revisions';

const version: FileVersion = { path: 'a', blob: 'b', commit: 'c', time: 1 };

describe('questions about the history', () => {
  it('are each asked once, however often and early', async () => {
    const asked: string[] = [];
    const past = new PastOfBranch(
      {
        replacedSince: (base) => {
          asked.push(`replaced since ${base}`);
          return Promise.resolve([version]);
        },
        versionsOf: (paths, commit) => {
          asked.push(`versions of ${paths.join(', ')} at ${commit}`);
          return Promise.resolve(new Map([['a', [version]]]));
        },
      },
      'base',
    );
    void past.replaced();
    past.askVersions(['a', 'b', 'a']);
    void past.versionsOf('a');
    void past.versionsOf('c');
    expect(await past.replaced()).toEqual([version]);
    expect(await past.versionsOf('a')).toEqual([version]);
    expect(await past.versionsOf('b')).toEqual([]);
    expect(asked).toEqual(['replaced since base', 'versions of a, b at base', 'versions of c at base']);
  });

  it('fail where the answer is needed, and nowhere before', async () => {
    const refuse = (): Promise<never> => Promise.reject(new Error('lacking'));
    const past = new PastOfBranch({ replacedSince: refuse, versionsOf: refuse }, 'base');
    void past.replaced();
    await new Promise((resolve) => {
      setImmediate(resolve); // a rejection that nobody met would have ended the process by now
    });
    await expect(past.replaced()).rejects.toThrow('lacking');
    await expect(past.versionsOf('a')).rejects.toThrow('lacking');
  });
});
