import type { RuleSettings } from '../../files/spec';
import type { TurnedVerdict } from '../branch/repositoryMoves';
import type { Finding } from '../finding';
import { countText, listText } from '../wording';
import type { RuleId } from './catalogue';
import { raise, type FindingParts } from './ruleContext';

/** What rules about a branch look at besides what moved. */
export interface BranchContext {
  /** Levels as damper-review.yaml of the base has them: a branch cannot silence what is said of it. */
  readonly rules: RuleSettings;
  readonly turned: readonly TurnedVerdict[];
}

export function raiseInBranch(
  context: BranchContext,
  rule: RuleId,
  parts: FindingParts,
  specRules?: RuleSettings,
): readonly Finding[] {
  return raise({ config: context.rules, spec: specRules }, rule, parts);
}

/** Results that turned with a part, of one spec where one is meant. */
export function turnedWith({ turned }: BranchContext, part: string, specFile?: string): readonly TurnedVerdict[] {
  return turned.filter((one) => one.parts.includes(part) && (specFile === undefined || one.specFile === specFile));
}

const MOST_NAMED = 4;

/** ` 2 committed results turn with it: a.result.csv (fail to pass) and b.result.csv (fail to pass).` */
export function turnedText(turned: readonly TurnedVerdict[]): string {
  if (turned.length === 0) return ' No verdict turns with it.';
  const named = turned.slice(0, MOST_NAMED).map(({ file, before, after }) => `${file} (${before} to ${after})`);
  const more = turned.length > MOST_NAMED ? [`${turned.length - MOST_NAMED} more`] : [];
  const verb = turned.length === 1 ? 'turns' : 'turn';
  return ` ${countText(turned.length, 'verdict')} ${verb} with it: ${listText([...named, ...more])}.`;
}
