import type { AdviceAdjuster, AdvicePoint, ClickAnswer } from '../analysis/corrections/clickAdvice';
import { clickAdvice } from '../analysis/corrections/clickAdvice';
import type { Adjuster, Setting } from '../files/spec';
import type { Advice, AdvisedSetting } from './correction';
import type { FittedPoint } from './correctionPoints';
import type { JudgedResult } from './judgedResult';
import { settingKey } from './referenceCurves';

/**
 * Clicks for the setting of the worst point, from the positions that its adjusters may stand at and a sweep holds.
 *
 * @param leftOut adjusters whose needle index stands, or could stand, in the explanation.
 * @returns undefined where damping force is not known or no adjuster can be moved.
 */
export function adviceFor(
  result: JudgedResult,
  adjusters: readonly Adjuster[],
  fitted: readonly FittedPoint[],
  leftOut: ReadonlySet<number>,
): Advice | undefined {
  const worst = result.worst === undefined ? undefined : result.points[result.worst];
  const setting = worst?.setting ?? fitted[0]?.judged.setting;
  if (setting === undefined) return undefined;
  const key = settingKey(setting);
  const here = fitted.filter(({ judged }) => settingKey(judged.setting) === key && judged.damping !== undefined);
  const points = here.map(advicePoint);
  const groups = clickAdvice(
    points,
    adjusters.map((adjuster, k) => adviceAdjuster(adjuster, k, setting, points, leftOut.has(k))),
  );
  if (groups.length === 0) return undefined;
  return {
    setting,
    groups: groups.map((group) => {
      const members = group.adjusters.map((k) => adjusters[k]!);
      const advised = (answer: ClickAnswer): AdvisedSetting => advisedSetting(answer, members, here);
      return {
        adjusters: members.map(({ id, unit }) => ({ id, unit })),
        sides: group.sides,
        exact: group.exact,
        answers: group.answers.map(advised),
        asSet: advised(group.asSet),
        worn: group.worn,
      };
    }),
  };
}

function advicePoint({ judged, drift }: FittedPoint): AdvicePoint {
  return {
    side: drift.side,
    drift: judged.damping! - drift.reference,
    reference: drift.reference,
    u: drift.u,
    U: judged.driftUncertainty ?? judged.uncertainty,
    tolerance: judged.zone ?? {},
    needles: drift.needles,
  };
}

/** Positions that the spec lists, as far as every sweep that speaks here reaches. */
function adviceAdjuster(
  adjuster: Adjuster,
  k: number,
  setting: Setting,
  points: readonly AdvicePoint[],
  leftOut: boolean,
): AdviceAdjuster {
  const position = setting[adjuster.id] ?? NaN;
  const curves = points.flatMap(({ needles }) => needles[k] ?? []);
  if (curves.length === 0 || Number.isNaN(position)) return { position, allowed: [], leftOut };
  const least = Math.max(...curves.map((curve) => curve.least));
  const most = Math.min(...curves.map((curve) => curve.most));
  return { position, allowed: positionsOf(adjuster, least, most), leftOut };
}

function positionsOf({ positions, clicks }: Adjuster, least: number, most: number): readonly number[] {
  const first = Math.max(0, Math.ceil(least));
  const last = Math.min(clicks ?? Infinity, Math.floor(most));
  const listed = positions ?? Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => first + i);
  return listed.filter((position) => position >= least && position <= most).sort((a, b) => a - b);
}

function advisedSetting(
  answer: ClickAnswer,
  members: readonly Adjuster[],
  here: readonly FittedPoint[],
): AdvisedSetting {
  const at = here[answer.at]?.judged;
  return {
    setting: Object.fromEntries(members.map(({ id }, j) => [id, answer.positions[j]!])),
    moved: answer.moved,
    ...(at !== undefined && { worst: { share: answer.worst, side: at.side, velocity: at.velocity } }),
  };
}
