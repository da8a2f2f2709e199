import type { AdoptionPlan } from '../changes/adopt';
import { rowText } from '../review/rules/branchSpecs';
import { verdictSentence } from '../review/verdictSentence';
import { countText } from '../review/wording';
import { GAS_CAUTION, PASS_CAUTION } from './resultStory';
import { TerminalLayout } from './terminalLayout';
import type { TextOptions } from './text';

/** Points that moved furthest, named one by one. */
const MOST_POINTS = 5;

/** What adopting would do, for the person who decides it: what moves, what turns, what speaks against it. */
export function renderAdoption(plan: AdoptionPlan, options: TextOptions): string {
  const layout = new TerminalLayout(options.colour, Math.max(40, options.width));
  const turned = plan.preview.filter(({ before, after }) => before !== after);
  const kept = plan.preview.length - turned.length;
  const blocks = [
    [
      ...layout.paragraph(0, '', `Reference of ${plan.spec}: ${plan.path}`, 'strong'),
      ...layout.paragraph(0, '', `from ${plan.from.length > 1 ? 'the mean of ' : ''}${plan.from.join(', ')}`, 'quiet'),
      ...moveLines(plan, layout),
    ],
    [
      ...layout.paragraph(
        0,
        '',
        turned.length === 0
          ? `No verdict turns of ${countText(plan.preview.length, 'result')} of this spec.`
          : `${countText(turned.length, 'verdict')} of ${plan.preview.length} ${turned.length === 1 ? 'turns' : 'turn'}:`,
        'strong',
      ),
      ...turned.flatMap(({ file, before, after, result }) => [
        ...layout.paragraph(0, '- ', `${before} to ${after}: ${verdictSentence(result)}`, after),
        ...layout.paragraph(2, '', file, 'quiet'),
      ]),
      ...(turned.length > 0 && kept > 0
        ? layout.paragraph(
            0,
            '',
            `${kept} more ${kept === 1 ? 'stays' : 'stay'} as ${kept === 1 ? 'it is' : 'they are'}.`,
            'quiet',
          )
        : []),
    ],
    plan.doubts.flatMap((doubt) => layout.paragraph(0, 'Mind: ', doubt, undefined, 'undecided')),
    layout.paragraph(0, '', `${PASS_CAUTION} ${GAS_CAUTION}`, 'quiet'),
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join('\n'))
    .join('\n\n')}\n`;
}

function moveLines({ move }: AdoptionPlan, layout: TerminalLayout): string[] {
  if (move === undefined) return layout.paragraph(0, '', 'It has no curves yet.');
  const { moved, points, removed, added } = move;
  const lines = [
    `${moved.length} of ${countText(points, 'point')} ${moved.length === 1 ? 'moves' : 'move'}, ${countText(added.length, 'row')} come, ${countText(removed.length, 'row')} go.`,
    ...moved.slice(0, MOST_POINTS).map((row) => `- ${rowText(row)}`),
  ];
  return lines.flatMap((line) => layout.paragraph(0, '', line));
}
