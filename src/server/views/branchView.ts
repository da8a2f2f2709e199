import type { BranchChanges, ChangedResult } from '../../changes/branchChanges';
import { propertyTheme } from '../../charts/theme';
import {
  baseSentence,
  countsSentence,
  isAboutBranch,
  movedBesides,
  movedSentence,
  movedText,
  resultSides,
  turnedOf,
  turnedPhrase,
} from '../../reports/branchStory';
import { driftDrawing } from '../../reports/pageFigures';
import { unitLabel } from '../../review/wording';
import { spellHidden } from '../../text/visible';
import type { BranchRowView, BranchView } from '../../protocol/views';
import { chartView, findingView } from './resultParts';

const LOOK = { theme: propertyTheme(), width: 300 };

/** The branch against its base: what moved first, then every changed result with its verdict before and after. */
export function branchView(
  changes: BranchChanges,
  asked: string | undefined,
  uriOf: (path: string) => string,
): BranchView {
  return {
    page: 'branch',
    base: asked ?? changes.base.commit,
    title: spellHidden(`Branch against ${changes.base.words}`),
    verdict: changes.verdict,
    sentences: [
      baseSentence(changes),
      movedSentence(changes),
      ...movedBesides(changes).map(movedText),
      countsSentence(changes),
      ...changes.notes,
    ].map(spellHidden),
    facts: [],
    settings: [],
    charts: [],
    tables: [],
    findings: changes.findings.filter(isAboutBranch).map((finding) => findingView(finding, uriOf)),
    steps: [],
    cautions: [],
    changed: changes.results.map((result, i) => rowView(changes, result, i + 1, uriOf)),
  };
}

function rowView(
  changes: BranchChanges,
  result: ChangedResult,
  number: number,
  uriOf: (path: string) => string,
): BranchRowView {
  const { before, after, file, from } = result;
  const shown = after ?? before;
  const turned = turnedOf(changes, result);
  const sides = resultSides(result);
  const drift = after === undefined ? undefined : driftDrawing(after, { ...LOOK, height: 60 });
  return {
    label: spellHidden(shown === undefined ? file : `${unitLabel(shown)}, ${result.change}`),
    ...(after !== undefined && { uri: uriOf(file), after: after.verdict }),
    ...(before !== undefined && { before: before.verdict }),
    sentences: [
      ...(turned === undefined ? [] : [turnedPhrase(turned)]),
      ...(sides.after === undefined ? [] : [sides.after]),
      ...(sides.before === undefined ? [] : [`Before: ${sides.before}`]),
    ].map(spellHidden),
    ...(drift !== undefined && { chart: chartView(`drift-${number}`, drift) }),
    ...(before !== undefined &&
      after !== undefined && {
        compare: { a: `${uriOf(from ?? file)}@${changes.base.commit}`, b: uriOf(file) },
      }),
  };
}
