import type { Finding } from '../../review/finding';
import { evidenceText } from '../evidenceText';
import { adviceOf, waiverText } from '../resultStory';
import { markup, type SafeHtml } from './safeHtml';

/** Findings in plain sentences, each with its numbers, what to check next, usual causes and what it cannot tell. */
export function findingsList(findings: readonly Finding[]): SafeHtml {
  return markup`<ul class="findings">
    ${findings.map(findingItem)}
  </ul>`;
}

function findingItem(finding: Finding): SafeHtml {
  const waiver = waiverText(finding);
  const { next, background } = adviceOf(finding);
  const evidence = evidenceText(finding.evidence);
  const state = waiver === undefined ? finding.level : 'waived';
  return markup`<li class="${state}">
    <p><strong>${capital(state)}.</strong> ${finding.message}</p>
    ${waiver !== undefined && markup`<p>${capital(waiver)}</p>`}
    ${next !== '' && markup`<p><strong>Next:</strong> ${next}</p>`}
    ${background !== '' && markup`<p class="quiet">${background}</p>`}
    <p class="quiet">
      ${evidence !== '' && markup`${evidence}. `}<code>${finding.file}:${finding.position.line}</code>, rule
      <code>${finding.rule}</code>
    </p>
  </li>`;
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
