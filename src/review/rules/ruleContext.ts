import type { StepKey } from '../../analysis/runAnalysis';
import type { Side } from '../../analysis/side';
import type { Setting } from '../../files/spec';
import type { SourcePosition } from '../../files/problem';
import type { AdjustersReview } from '../adjusters/adjusterReview';
import type { BasisComparison } from '../basis';
import type { Finding } from '../finding';
import type { GasOfTest } from '../gasOfResult';
import type { ChangeSinceBuild } from '../judgedResult';
import { withDetails, type FindingDetails } from '../laterDetails';
import type { JudgeInput } from '../judgeInput';
import type { JudgedPoints } from '../judgePoints';
import type { SettingShape } from '../settingShape';
import { positionOfStep } from '../judgeInput';
import { settingText, speedText } from '../wording';
import type { RuleId, RuleOverrides } from './catalogue';
import { ruleEntry, ruleLevel } from './catalogue';

/** All that a rule may look at. A rule is a pure function of it. */
export interface RuleContext {
  readonly input: JudgeInput;
  /** Its points, and what can be said of them as a whole: a rule looks at that first, as most results pass and have no points made. */
  readonly judged: JudgedPoints;
  /** Planned points that the result lacks. */
  readonly missing: readonly MissingPoint[];
  /** Undefined where there is no reference. */
  readonly basis: BasisComparison | undefined;
  /** What could not be compared of it, in words. */
  readonly notCompared: readonly string[];
  /** Undefined where no constant force is known. */
  readonly gas: GasOfTest | undefined;
  /** Against the build before; undefined where there is none, or no repeats to hold it against. */
  readonly change: ChangeSinceBuild | undefined;
  /** Undefined where no damping force is known. */
  readonly shape: SettingShape | undefined;
  /** Every sweep that the result holds. */
  readonly adjusters: AdjustersReview;
  /** `F-017 build 2` */
  readonly unit: string;
  readonly overrides: RuleOverrides;
}

export interface MissingPoint {
  readonly setting: Setting;
  /** Planned [m/s]. */
  readonly velocity: number;
  /** Speed of the step that fell short of it [m/s]. */
  readonly fellShortAt?: number;
}

export type Rule = (context: RuleContext) => readonly Finding[];

export interface FindingParts {
  readonly at: { readonly file: string; readonly position: SourcePosition };
  readonly message: string;
  /** In place of the catalogue's advice. */
  readonly next?: string;
  readonly evidence?: Finding['evidence'];
  readonly side?: Side;
  readonly related?: Finding['related'];
  /** In place of evidence and related rows, where they take long and a terminal shows neither: see `detailsLater`. */
  readonly details?: () => FindingDetails;
  /** Holds the level down where the evidence is too weak for the rule's own. */
  readonly atMost?: 'warning' | 'note';
}

type FindingDraft = { -readonly [Key in keyof Omit<Finding, 'evidence'>]: Finding[Key] } & {
  evidence?: Finding['evidence'];
};

const RANK = { note: 0, warning: 1, error: 2 } as const;

/** A finding of a rule at the level that spec and damper-review.yaml give it; none where they turn it off. */
export function raise(overrides: RuleOverrides, rule: RuleId, parts: FindingParts): readonly Finding[] {
  const wanted = ruleLevel(rule, overrides);
  if (wanted === 'off') return [];
  const { at, message, next = adviceOf(rule), evidence = {}, atMost, side, related, details } = parts;
  const level = atMost !== undefined && RANK[atMost] < RANK[wanted] ? atMost : wanted;
  const finding: FindingDraft = { rule, level, file: at.file, position: at.position, message, next };
  if (side !== undefined) finding.side = side;
  if (details !== undefined) return [withDetails(finding, details)];
  finding.evidence = evidence;
  if (related !== undefined && related.length > 0) finding.related = related;
  return [finding as Finding];
}

/** Has details made when they are asked for; at once where there are logs, whose samples would be held on to until then. */
export function detailsLater({ logs }: JudgeInput, make: () => FindingDetails): () => FindingDetails {
  if (logs.length === 0) return make;
  const made = make();
  return () => made;
}

/** What to check next, the usual causes, and what the finding cannot tell. */
export function adviceOf(rule: RuleId): string {
  let advice = advices.get(rule);
  if (advice === undefined) {
    const { next, causes, cannotTell } = ruleEntry(rule);
    const usual = causes.length > 0 ? `Usual causes: ${causes.join('; ')}.` : undefined;
    advice = [next, usual, cannotTell].filter((part) => part !== undefined).join(' ');
    advices.set(rule, advice);
  }
  return advice;
}

const advices = new Map<RuleId, string>();

/** `300 mm/s at LSC 8, HSC 3, R 6` */
export function stepText(context: RuleContext, key: StepKey, side?: Side): string {
  const { analysis, table } = context.input;
  const point = analysis?.points.find(
    (p) => p.key.log === key.log && p.key.step === key.step && (side === undefined || p.side === side),
  );
  if (point === undefined) return 'a step that is not known';
  const setting = Object.fromEntries(
    table.adjusters.flatMap(({ id }, i) => {
      const position = point.setting[i];
      return position === undefined || Number.isNaN(position) ? [] : [[id, position] as const];
    }),
  );
  const names = Object.keys(setting).length > 0 ? ` at ${settingText(setting)}` : '';
  return `${speedText(point.speed)}${names}`;
}

/** Peak acceleration of a step's side [m/s^2]; undefined where its log is not there. */
export function accelerationOf(context: RuleContext, key: StepKey, side: Side): number | undefined {
  return context.input.logs[key.log]?.reduced.steps[key.step]?.[side].peakAcceleration;
}

/** Above this [m/s^2] an unknown mass between load cell and damper may bend a loop by itself. */
const INERTIA_MATTERS = 30;

/** A loop finding at high acceleration is a note where the bench's moving mass is not stated. */
export function heldDownByInertia(context: RuleContext, key: StepKey, side: Side): { readonly atMost?: 'note' } {
  if (context.input.bench?.movingMass !== undefined) return {};
  return (accelerationOf(context, key, side) ?? 0) > INERTIA_MATTERS ? { atMost: 'note' } : {};
}

/** Items of both sides that exceed a limit, the worst first; empty groups are left out. */
export function worstFirst<Item extends { readonly side: Side }>(
  items: readonly Item[],
  size: (item: Item) => number,
): readonly (readonly [Item, ...Item[]])[] {
  if (items.length === 0) return [];
  return (['compression', 'rebound'] as const).flatMap((side) => {
    const [worst, ...rest] = items.filter((item) => item.side === side).sort((a, b) => size(b) - size(a));
    return worst === undefined ? [] : [[worst, ...rest] as const];
  });
}

/** Positions of further steps that show the same, as far as they lie in the finding's own file. */
export function relatedSteps<Item extends { readonly key: StepKey }>(
  context: RuleContext,
  file: string,
  items: readonly Item[],
  message: (item: Item) => string,
): NonNullable<Finding['related']> {
  return items.flatMap((item) => {
    const at = positionOfStep(context.input, item.key);
    return at.file === file ? [{ position: at.position, message: message(item) }] : [];
  });
}
