import { expect, it } from 'vitest';
import { WorkInHand } from '../../src/session/workInHand';

it('tells how many items are done, and names the one that has been in hand for longest', async () => {
  const told: string[] = [];
  const inHand = new WorkInHand(4, (words, share) => told.push(`${words} ${String(share)}`));
  const ends: (() => void)[] = [];
  const during = (item: string): Promise<void> =>
    inHand.during(item, `Judging ${item}`, () => new Promise((resolve) => ends.push(resolve)));
  const large = during('large');
  for (const small of ['b', 'c']) {
    const work = during(small);
    ends.pop()!();
    await work;
  }
  ends.pop()!();
  await large;
  const last = during('d');
  ends.pop()!();
  await last;
  expect(told).toEqual([
    'Judging large 0',
    'Judging large 0',
    'Judging large 0.25',
    'Judging large 0.25',
    'Judging large 0.5',
    'Judging large 0.75',
    'Judging d 0.75',
    'Judging d 1',
  ]);
});
