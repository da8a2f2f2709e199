import { BASIS_WORDS } from '../basis';
import type { BasisComparison, BasisDifference } from '../basis';
import type { Finding } from '../finding';
import { atHeader } from '../pointOfRow';
import type { JudgeInput } from '../judgeInput';
import { lengthText, listText } from '../wording';
import type { RuleContext } from './ruleContext';
import { raise } from './ruleContext';

/** Test and reference not run alike; and, as a note, what could not be compared because one of them does not state it. */
export function testBasisDiffers(context: RuleContext): readonly Finding[] {
  return [
    ...differences(context),
    ...constantForceUnknown(context),
    ...notStated(context),
    ...statedAgainstMotion(context),
  ];
}

function differences(context: RuleContext): readonly Finding[] {
  const { basis, unit } = context;
  if (basis === undefined || basis.differs.length + basis.notes.length === 0) return [];
  const evidence = (items: readonly BasisDifference[]): Finding['evidence'] =>
    Object.fromEntries(
      items.flatMap((d) => [
        [`${d.key}_test`, d.measured],
        [`${d.key}_reference`, d.reference],
      ]),
    );
  const text = (items: readonly BasisDifference[]): string =>
    listText(items.map((d) => `${BASIS_WORDS[d.key]} ${d.measured} against ${d.reference}`));
  const forbidding =
    basis.differs.length === 0
      ? []
      : raise(context.overrides, 'test-basis-differs', {
          at: atHeader(context.input),
          message: `${unit}: test and reference were not run alike: ${text(basis.differs)}. No point is judged.`,
          evidence: evidence(basis.differs),
        });
  const telling =
    basis.notes.length === 0
      ? []
      : raise(context.overrides, 'test-basis-differs', {
          at: atHeader(context.input),
          message: `${unit}: test and reference differ in ${text(basis.notes)}; temperatures may not mean the same.`,
          evidence: evidence(basis.notes),
          atMost: 'warning',
        });
  return [...forbidding, ...telling];
}

function constantForceUnknown(context: RuleContext): readonly Finding[] {
  if (!context.judged.lacksConstantForce) return [];
  const concerned = context.judged.points.filter((p) => p.cause === 'constant force');
  return raise(context.overrides, 'test-basis-differs', {
    at: atHeader(context.input),
    message: `${context.unit}: ${concerned[0]?.reason ?? ''} The points concerned are not judged.`,
    next: 'State `gas` in the preamble of the reference, or reduce the log again, so that damping force is known on both sides.',
    evidence: { points: concerned.length },
  });
}

function notStated(context: RuleContext): readonly Finding[] {
  const missing = context.notCompared;
  if (missing.length === 0) return [];
  return raise(context.overrides, 'test-basis-differs', {
    at: atHeader(context.input),
    message: `${context.unit}: not compared, as not stated: ${listText(missing)}.`,
    next: 'State it in the preamble, so that tests that differ in it are told apart.',
    evidence: { notCompared: missing.join('; ') },
    atMost: 'note',
  });
}

/** `mid position (reference)`, for what is judged by this spec. */
export function notComparedTexts(
  input: Pick<JudgeInput, 'spec' | 'table'>,
  basis: BasisComparison | undefined,
): readonly string[] {
  const window = input.spec?.test.temperature !== undefined;
  const keys = (basis?.notCompared ?? []).filter(
    (n) => n.key !== 'temperatureAt' || (window && n.missingIn !== 'both'),
  );
  const texts = keys.map(
    (n) => `${BASIS_WORDS[n.key]} (${n.missingIn === 'both' ? 'test and reference' : n.missingIn})`,
  );
  const cold = window && input.table.rows.length > 0 && input.table.rows.every((row) => row.temperature === undefined);
  return cold ? [...texts, 'temperature (test)'] : texts;
}

/** What a log states of its stroke or drive against what its samples show. */
function statedAgainstMotion(context: RuleContext): readonly Finding[] {
  const { input, overrides, unit } = context;
  return input.logs.flatMap(({ head, reduced }) => {
    const at = { file: head.file, position: head.positionOf(head.basis.stroke === undefined ? 'drive' : 'stroke') };
    const { stroke, drive } = head.basis;
    const off =
      stroke === undefined ? undefined : reduced.steps.find((s) => Math.abs(2 * s.amplitude - stroke) > 0.02 * stroke);
    const other = drive === undefined || drive === 'other' ? undefined : reduced.steps.find((s) => s.drive !== drive);
    const parts = [
      ...(off === undefined
        ? []
        : [`stroke ${lengthText(stroke!)}, its samples show ${lengthText(2 * off.amplitude)}`]),
      ...(other === undefined ? [] : [`drive ${drive!}, its samples show ${other.drive}`]),
    ];
    if (parts.length === 0) return [];
    return raise(overrides, 'test-basis-differs', {
      at,
      message: `${unit}: the log states ${listText(parts)}.`,
      next: 'Correct the preamble of the log or the program of the bench.',
      evidence: {
        ...(off !== undefined && {
          stroke_stated_mm: stroke! * 1000,
          stroke_measured_mm: Number((off.amplitude * 2000).toFixed(2)),
        }),
        ...(other !== undefined && { drive_stated: drive!, drive_measured: other.drive }),
      },
    });
  });
}
