import { SIDE_SIGN, SIDES } from '../analysis/side';
import { powerText, pText } from './changeStatement';
import type { ChangeSinceBuild } from './judgedResult';
import { countText, listText, percentText } from './wording';

/** How a build stands to the one before it, in one or two sentences. */
export function changeText(change: ChangeSinceBuild): string {
  const { significant, pValue, repeats, since, bench } = change;
  const than = significant ? 'changed since' : 'is not shown to have changed since';
  const against = `${countText(repeats.runs, 'run')} without a rebuild`;
  const more = significant ? 'more than' : 'no more than';
  const caution =
    bench === 'other bench'
      ? ' The two were tested on two benches, which is not in that scatter.'
      : bench === 'calibrated between'
        ? ' The bench was calibrated in between, which is not in that scatter.'
        : '';
  return `${than} build ${since.build}: ${sidesText(change)}, ${more} ${against} let expect (p ${pText(pValue)}).${caution} ${powerText(change)}`;
}

function sidesText({ mean }: ChangeSinceBuild): string {
  return listText(
    SIDES.flatMap((side) => {
      const share = mean[side];
      if (share === undefined) return [];
      const hardening = SIDE_SIGN[side] * share;
      return [`${side} ${percentText(Math.abs(share))} ${hardening >= 0 ? 'harder' : 'softer'}`];
    }),
  );
}
