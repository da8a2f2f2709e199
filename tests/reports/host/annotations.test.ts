import { describe, expect, it } from 'vitest';
import { renderAnnotations } from '../../../src/reports/host/annotations';
import { HOSTILE } from '../../text/hostileText';
import { hostileOutcome } from '../fixtures/hostileOutcome';
import { failing, finding } from '../fixtures/outcomes';

const lines = (findings: Parameters<typeof renderAnnotations>[0]['findings'], folder = '') =>
  renderAnnotations({ findings, folder })
    .split('\n')
    .filter((line) => line !== '');

// The shape and its escapes: GitHub's documentation, "Workflow commands for GitHub Actions"; at most 10 of a kind are shown for a step.
describe('the annotations of a workflow', () => {
  it('name file, line, title and message, with what to do next', () => {
    const [first] = lines(failing.findings, 'samples');
    expect(first).toMatch(
      /^::error file=samples\/dampers\/F-017\/build-2\/alder-front\.result\.csv,line=12,col=1,title=Damping force out of tolerance::Rebound damping is softer .* 134 %25 of the tolerance .* Next: Compare/,
    );
    expect(lines(failing.findings).map((line) => line.slice(0, line.indexOf(' ')))).toEqual([
      '::error',
      '::warning',
      '::notice',
    ]);
  });

  it('ten of a kind at most; the last one counts the rest', () => {
    const many = (level: 'error' | 'note', count: number) =>
      Array.from({ length: count }, (_, i) => finding({ rule: 'loop-void', level, message: `n ${i}` }));
    expect(lines(many('error', 10))).toHaveLength(10);
    const found = lines([...many('error', 13), ...many('note', 11)]);
    expect(found.filter((line) => line.startsWith('::error'))).toHaveLength(10);
    expect(found.filter((line) => line.startsWith('::notice'))).toHaveLength(10);
    expect(found[9]).toBe('::error title=Damper review::4 further errors in the full report.');
    expect(found[19]).toBe('::notice title=Damper review::2 further notices in the full report.');
  });

  it('hostile texts end no line and start no command', () => {
    for (const text of HOSTILE)
      for (const line of renderAnnotations({ findings: hostileOutcome(text).findings, folder: '' })
        .trim()
        .split('\n')) {
        expect(line).toMatch(/^::(?:error|warning|notice) file=[^:,]*,line=\d+,col=\d+,title=[^:,]*::/);
        expect(line).not.toMatch(/\p{Cc}/u);
      }
  });
});
