import { BASIS_WORDS, compareBasis } from './basis';
import { benchText } from './benchRelation';
import type { ComparedRun } from './comparison';
import { constantForceOf } from './referenceCurves';
import { forceText, listText, percentText } from './wording';

/** Constant forces that differ by less than this share are not worth a line. */
const SAME_CONSTANT = 0.05;

/** What was not the same in two runs, or is not known of one of them, one sentence each. */
export function basisDifferenceTexts(a: ComparedRun, b: ComparedRun): readonly string[] {
  const { differs, notes, notCompared } = compareBasis(a.table.basis, b.table.basis);
  const texts = [...differs, ...notes].map(
    (d) => `${capital(BASIS_WORDS[d.key])}: ${d.measured} against ${d.reference}.`,
  );
  const unknown = notCompared.filter((n) => n.missingIn !== 'both').map((n) => BASIS_WORDS[n.key]);
  if (unknown.length > 0) texts.push(`Stated by one of them only, so not compared: ${listText(unknown)}.`);
  if (a.specId !== b.specId) texts.push(`Two specs: ${a.specId} and ${b.specId}.`);
  const bench = benchText(a, b);
  if (bench !== undefined) texts.push(bench);
  const methods = [a.table.result?.method, b.table.result?.method];
  if (methods[0] !== methods[1] && methods.every((m) => m !== undefined))
    texts.push('Reduced by two versions of the analysis.');
  texts.push(...constantForces(a, b));
  return texts;
}

/** Drift takes the constant force off on each side, whatever it consists of; a large change of it is worth knowing. */
function constantForces(a: ComparedRun, b: ComparedRun): readonly string[] {
  const unknown = [a, b].filter(({ table }) => table.rows.some((row) => constantForceOf(table, row) === undefined));
  if (unknown.length > 0)
    return unknown.map(({ label }) => `The constant force of ${label} is not known, so damping force is not either.`);
  const first = a.table.gas?.force;
  const second = b.table.gas?.force;
  if (first === undefined || second === undefined) return [];
  const change = second - first;
  if (Math.abs(change) <= Math.max(SAME_CONSTANT * Math.abs(first), 10)) return [];
  const share = first === 0 ? '' : ` (${percentText(change / Math.abs(first))})`;
  return [
    `Constant force ${forceText(first)} against ${forceText(second)}${share}; it is taken off before damping forces are compared.`,
  ];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
