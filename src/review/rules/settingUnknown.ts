import type { ForceTable } from '../../files/forceTable';
import type { Adjuster, Spec } from '../../files/spec';
import type { Finding } from '../finding';
import { atHeader, positionOfRow } from '../pointOfRow';
import { settingsOfTable } from '../referenceCurves';
import { countText, decimalText, listText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Adjusters whose position is not stated, adjusters that the spec does not have, and positions that do not exist. */
export function settingUnknown(context: RuleContext): readonly Finding[] {
  const { input, unit } = context;
  const { spec, table } = input;
  if (spec === undefined) return [];
  if (isKnown(spec, table)) return [];
  const stated = new Set(table.adjusters.map((a) => a.id));
  const known = new Set(spec.adjusters.map((a) => a.id));
  const missing = spec.adjusters.filter((a) => !stated.has(a.id)).map((a) => a.id);
  const foreign = table.adjusters.filter((a) => !known.has(a.id)).map((a) => a.id);
  const at = atHeader(input);
  return [
    ...(missing.length === 0 || table.rows.length === 0
      ? []
      : raise(context.overrides, 'setting-unknown', {
          at,
          message: `${unit}: the position of ${listText(missing)} is not stated.`,
          evidence: { adjusters: missing.join(', ') },
        })),
    ...(foreign.length === 0
      ? []
      : raise(context.overrides, 'setting-unknown', {
          at,
          message: `${unit}: spec ${spec.id} has no adjuster ${listText(foreign)}.`,
          evidence: { adjusters: foreign.join(', ') },
        })),
    ...spec.adjusters.flatMap((adjuster) => impossiblePositions(context, adjuster)),
  ];
}

/** The cheap look: adjusters as the spec has them, and every setting at positions that exist. */
function isKnown(spec: Spec, table: ForceTable): boolean {
  const { adjusters } = spec;
  if (adjusters.length !== table.adjusters.length) return false;
  for (let i = 0; i < adjusters.length; i++) if (adjusters[i]!.id !== table.adjusters[i]!.id) return false;
  for (const { rows } of settingsOfTable(table).all)
    for (let i = 0; i < adjusters.length; i++) if (!exists(adjusters[i]!, rows[0]!.setting[i] ?? NaN)) return false;
  return true;
}

function impossiblePositions(context: RuleContext, adjuster: Adjuster): readonly Finding[] {
  const { table } = context.input;
  const column = table.adjusters.findIndex((a) => a.id === adjuster.id);
  if (column < 0) return [];
  const rows = table.rows.filter((row) => !exists(adjuster, row.setting[column] ?? NaN));
  const [first] = rows;
  if (first === undefined) return [];
  const position = first.setting[column] ?? NaN;
  const what = Number.isNaN(position)
    ? `the position of ${adjuster.id} is not stated in ${countText(rows.length, 'row')}`
    : `${adjuster.id} ${decimalText(position, 3)} does not exist: ${rangeText(adjuster)}`;
  return raise(context.overrides, 'setting-unknown', {
    at: positionOfRow(context.input, first),
    message: `${context.unit}: ${what}.`,
    evidence: { adjuster: adjuster.id, rows: rows.length, ...(Number.isFinite(position) && { position }) },
  });
}

/** Rounding of a position given in turns or pounds must not decide. */
const SAME_POSITION = 1e-6;

function exists(adjuster: Adjuster, position: number): boolean {
  if (Number.isNaN(position)) return false;
  if (adjuster.positions !== undefined) return adjuster.positions.some((p) => Math.abs(p - position) <= SAME_POSITION);
  if (position < 0) return false;
  if (adjuster.clicks !== undefined && position > adjuster.clicks) return false;
  return adjuster.unit !== 'click' || Number.isInteger(position);
}

function rangeText({ id, unit, clicks, positions }: Adjuster): string {
  if (positions !== undefined) return `${id} has the positions ${positions.join(', ')} ${unit}`;
  return clicks === undefined ? `${id} counts whole ${unit}s from 0` : `${id} has 0 to ${clicks} ${unit}s`;
}
