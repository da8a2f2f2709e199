import { describe, expect, it } from 'vitest';
import { AbortedError } from '../../src/ports/abort';
import { defineQuery, Pause, type Query, type Reader } from '../../src/session/query';
import { QueryEngine } from '../../src/session/queryEngine';

const untouched = (): Promise<void> => Promise.resolve();

/** Numbers by name, which the queries read as their outside. */
class Outside {
  readonly values = new Map<string, number>();
  readonly number: Query<number> = defineQuery('number', (key) => Promise.resolve(this.values.get(key) ?? 0));
  readonly parity: Query<number> = defineQuery('parity', (key, read) => read.get(this.number, key) % 2);
  readonly label: Query<string> = defineQuery('label', (key, read) =>
    read.get(this.parity, key) === 0 ? 'even' : `odd ${read.get(this.number, `${key}/odd`)}`,
  );
  readonly all: Query<string> = defineQuery('all', (keys, read) =>
    keys
      .split(' ')
      .map((key) => read.get(this.label, key))
      .join(', '),
  );

  set(values: Readonly<Record<string, number>>) {
    for (const [key, value] of Object.entries(values)) this.values.set(key, value);
    return (touch: (query: Query<number>, key: string) => void): Promise<void> => {
      for (const key of Object.keys(values)) touch(this.number, key);
      return Promise.resolve();
    };
  }
}

describe('query engine', () => {
  it('computes each value once, however many read it', async () => {
    const outside = new Outside();
    const engine = new QueryEngine();
    const first = await engine.run(undefined, outside.set({ a: 2, b: 4 }), (read) => read.get(outside.all, 'a b a'));
    expect(first).toBe('even, even, even');
    expect(engine.counts()).toEqual({ all: 1, label: 2, number: 2, parity: 2 });
    await engine.run(undefined, untouched, (read) => read.get(outside.all, 'a b a'));
    expect(engine.counts()).toEqual({ all: 1, label: 2, number: 2, parity: 2 });
  });

  it('stops where a changed input leads to an unchanged value', async () => {
    const outside = new Outside();
    const engine = new QueryEngine();
    await engine.run(undefined, outside.set({ a: 2, b: 4 }), (read) => read.get(outside.all, 'a b'));
    await engine.run(undefined, outside.set({ a: 6 }), (read) => read.get(outside.all, 'a b'));
    expect(engine.counts()).toEqual({ all: 1, label: 2, number: 3, parity: 3 });
  });

  it('computes again only what a changed value reaches, and follows changed dependencies', async () => {
    const outside = new Outside();
    const engine = new QueryEngine();
    const run = (values: Record<string, number>): Promise<string> =>
      engine.run(undefined, outside.set(values), (read) => read.get(outside.all, 'a b'));
    expect(await run({ a: 2, b: 4, 'a/odd': 7 })).toBe('even, even');
    expect(await run({ a: 3 })).toBe('odd 7, even');
    expect(engine.counts()['label']).toBe(3);
    expect(await run({ 'a/odd': 8 })).toBe('odd 8, even');
    expect(await run({ a: 4 })).toBe('even, even');
    const before = engine.counts();
    expect(await run({ 'a/odd': 9 })).toBe('even, even');
    expect(engine.counts()).toEqual(before); // nobody reads it any more
  });

  it('keeps nothing of a failed or cancelled computation, and what was finished stays', async () => {
    const engine = new QueryEngine();
    let broken = true;
    const good = defineQuery('good', () => Promise.resolve(1));
    const bad = defineQuery('bad', () => (broken ? Promise.reject(new Error('disk on fire')) : Promise.resolve(2)));
    const sum = defineQuery('sum', (_, read) => read.get(good, '') + read.get(bad, ''));
    const ask = (read: Reader): Promise<number> => read.get(sum, '');
    await expect(engine.run(undefined, untouched, ask)).rejects.toThrow('disk on fire');
    broken = false;
    expect(await engine.run(undefined, untouched, ask)).toBe(3);
    expect(engine.counts()).toEqual({ bad: 2, good: 1, sum: 2 });
  });

  it('ends an aborted run before the next begins', async () => {
    const engine = new QueryEngine();
    const controller = new AbortController();
    const open: (() => void)[] = [];
    let underWay = 0;
    const slow = defineQuery('slow', async (_, read) => {
      underWay += 1;
      await new Promise<void>((resolve) => open.push(resolve));
      underWay -= 1;
      if (read.signal?.aborted === true) throw new AbortedError();
      return 1;
    });
    const first = engine.run(controller.signal, untouched, (read) =>
      Promise.all([read.get(slow, 'a'), read.get(slow, 'b')]),
    );
    const outcome = expect(first).rejects.toBeInstanceOf(AbortedError);
    await new Promise((resolve) => setImmediate(resolve));
    controller.abort();
    const second = engine.run(undefined, untouched, (read) => {
      expect(underWay).toBe(0);
      return read.get(slow, 'a');
    });
    while (open.length > 0) {
      open.shift()?.();
      await new Promise((resolve) => setImmediate(resolve));
    }
    await outcome;
    open.shift()?.();
    expect(await second).toBe(1);
  });

  it('asks again in the next run for what was not final', async () => {
    const engine = new QueryEngine();
    let answer = 0;
    const shaky = defineQuery('shaky', (_, read) => {
      answer += 1;
      if (answer === 1) read.notFinal();
      return Promise.resolve(answer);
    });
    const over = defineQuery('over', (_, read) => 10 * read.get(shaky, ''));
    const ask = (): Promise<number> => engine.run(undefined, untouched, (read) => read.get(over, ''));
    expect(await ask()).toBe(10);
    expect(await ask()).toBe(20);
    expect(await ask()).toBe(20);
  });

  it('drops large values, brings them back when read, and compares them by their fingerprint', async () => {
    const outside = new Outside();
    const engine = new QueryEngine([], 2000);
    const large: Query<Uint8Array> = defineQuery(
      'large',
      (key, read) => new Uint8Array(1000).fill(read.get(outside.number, key)),
      { large: { bytes: (value) => value.length, fingerprint: (value) => String(value[0]! % 10) } },
    );
    const first = defineQuery('first', (key, read) => read.get(large, key)[0]!);
    const keys = ['a', 'b', 'c', 'd'];
    const ask = (values: Record<string, number>): Promise<number[]> =>
      engine.run(undefined, outside.set(values), (read) => Promise.all(keys.map((key) => read.get(first, key))));
    expect(await ask({ a: 1, b: 2, c: 3, d: 4 })).toEqual([1, 2, 3, 4]);
    expect(await ask({ a: 11 })).toEqual([1, 2, 3, 4]); // same fingerprint: whoever read it is left alone
    expect(engine.counts()).toMatchObject({ first: 4, large: 5 });
    const direct = await engine.run(undefined, untouched, (read) =>
      Promise.all(keys.map((key) => read.get(large, key))),
    );
    expect(direct.map((value) => value[0])).toEqual([11, 2, 3, 4]);
    expect(engine.counts()['large (dropped)']).toBeGreaterThanOrEqual(2);
    expect(engine.counts()).toMatchObject({ first: 4, large: 5 });
  });

  it('begins a computation anew for each value that is waited for, and counts it once', async () => {
    const engine = new QueryEngine();
    let begun = 0;
    const later = defineQuery('later', async (key) => Promise.resolve(Number(key)));
    const sum = defineQuery('sum', (keys, read) => {
      begun += 1;
      return keys.split(' ').reduce((total, key) => total + read.get(later, key), 0);
    });
    expect(await engine.run(undefined, untouched, (read) => read.get(sum, '1 2 3'))).toBe(6);
    expect(begun).toBe(4);
    expect(engine.counts()).toEqual({ later: 3, sum: 1 });
  });

  it('has a few values of a list waited for at a time', async () => {
    const engine = new QueryEngine();
    let begun = 0;
    let [underWay, most] = [0, 0];
    const later = defineQuery('later', async (key) => {
      underWay += 1;
      most = Math.max(most, underWay);
      await new Promise((resolve) => setImmediate(resolve));
      underWay -= 1;
      return Number(key);
    });
    const sum = defineQuery('sum', (_, read) => {
      begun += 1;
      const keys = Array.from({ length: 40 }, (_one, i) => String(i));
      return read.all(later, keys).reduce((total, value) => total + value, 0);
    });
    expect(await engine.run(undefined, untouched, (read) => read.get(sum, ''))).toBe(780);
    expect([begun, most]).toEqual([6, 8]);
    expect(engine.counts()).toEqual({ later: 40, sum: 1 });
  });

  it('holds large values for a computation that begins anew, however many they are', async () => {
    const engine = new QueryEngine([], 2000);
    const large: Query<Uint8Array> = defineQuery(
      'large',
      (key) => Promise.resolve(new Uint8Array(1000).fill(Number(key))),
      { large: { bytes: (value) => value.length, fingerprint: (value) => String(value[0]) } },
    );
    const sum = defineQuery('sum', (keys, read) =>
      keys.split(' ').reduce((total, key) => total + read.get(large, key)[0]!, 0),
    );
    expect(await engine.run(undefined, untouched, (read) => read.get(sum, '1 2 3 4 5'))).toBe(15);
    expect(engine.counts()).toEqual({ large: 5, sum: 1 });
    await engine.run(undefined, untouched, (read) => read.get(sum, '6 7'));
    await engine.run(undefined, untouched, (read) => read.get(large, '1'));
    expect(engine.counts()['large (dropped)']).toBe(1); // nothing is held any longer
  });

  it('tells a failure that was waited for to each who asks in the run, and asks again in the next', async () => {
    const engine = new QueryEngine();
    let tries = 0;
    const bad = defineQuery<number>('bad', async () => {
      tries += 1;
      await Promise.resolve();
      if (tries === 1) throw new Error('no luck');
      return 7;
    });
    const said = defineQuery('said', (_, read) => {
      try {
        return String(read.get(bad, ''));
      } catch (error) {
        if (error instanceof Pause) throw error;
        read.notFinal();
        return (error as Error).message;
      }
    });
    const ask = (): Promise<string[]> =>
      engine.run(undefined, untouched, (read) => Promise.all(['a', 'b'].map((key) => read.get(said, key))));
    expect(await ask()).toEqual(['no luck', 'no luck']);
    expect(tries).toBe(1);
    expect(await ask()).toEqual(['7', '7']);
    expect(engine.counts()).toEqual({ bad: 2, said: 4 });
  });

  it('computes for a run itself what nobody remembers', async () => {
    const outside = new Outside();
    const engine = new QueryEngine();
    const both = await engine.run(undefined, outside.set({ a: 2, b: 5 }), (read) =>
      read.once((below) => below.get(outside.number, 'a') + below.get(outside.number, 'b')),
    );
    expect(both).toBe(7);
    expect(engine.counts()).toEqual({ number: 2 });
  });

  it('refuses a query that asks for itself after it has waited', async () => {
    const engine = new QueryEngine();
    const round: Query<number> = defineQuery('round', async (key, read): Promise<number> => {
      await Promise.resolve();
      return read.get(round, key);
    });
    await expect(engine.run(undefined, untouched, (read) => read.get(round, 'x'))).rejects.toThrow('asks for itself');
  });

  it('refuses a query that asks for itself', async () => {
    const engine = new QueryEngine();
    const round: Query<number> = defineQuery('round', (key, read) => read.get(round, key));
    await expect(engine.run(undefined, untouched, (read) => read.get(round, 'x'))).rejects.toThrow('asks for itself');
  });
});
