import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { validateXML } from 'xmllint-wasm';
import { renderJunit } from '../../../src/reports/host/junit';
import { HOSTILE } from '../../text/hostileText';
import { hostileOutcome } from '../fixtures/hostileOutcome';
import { failing, gasLow, outcomeOf, passing, undecided, unreferenced, workshop } from '../fixtures/outcomes';

const schema = { fileName: 'junit.xsd', contents: readFileSync('tests/published/data/junit/junit.xsd', 'utf8') };

/** Against the structure of the published JUnit schema (tests/published/data/junit/README.md). */
async function errorsOf(contents: string): Promise<readonly string[]> {
  const { errors } = await validateXML({ xml: { fileName: 'junit.xml', contents }, schema });
  return errors.map((error) => error.message);
}

describe('the JUnit report', () => {
  it('fits the published schema', async () => {
    expect(await errorsOf(renderJunit(workshop))).toEqual([]);
    expect(await errorsOf(renderJunit(outcomeOf([])))).toEqual([]);
  });

  it('a document that does not fit would be seen', async () => {
    expect(await errorsOf(renderJunit(workshop).replaceAll('hostname="localhost" ', ''))).not.toEqual([]);
  });

  it('what is out is a failure, what is not decided an error, never a pass', () => {
    const of = (...results: Parameters<typeof outcomeOf>[0]) => renderJunit(outcomeOf(results));
    expect(of(passing)).toMatch(/tests="2" failures="0" errors="0"/);
    expect(of(failing)).toMatch(/<failure type="drift-from-reference" message="out of tolerance in \d+ points/);
    expect(of(undecided)).toMatch(/failures="0" errors="1"/);
    expect(of(undecided)).toContain('<error type="drift-undecided"');
    expect(of(gasLow)).toContain('<failure type="gas-force-low"');
    expect(of(unreferenced)).toMatch(/errors="[1-9]/);
  });

  it('a file that cannot be read, and a review of nothing, do not read as passed', () => {
    expect(renderJunit(workshop)).toContain('<failure type="unreadable"');
    expect(renderJunit(outcomeOf([]))).toMatch(/tests="1" failures="0" errors="1"/);
  });

  it('hostile texts stay texts', async () => {
    for (const text of HOSTILE.slice(0, 12)) expect(await errorsOf(renderJunit(hostileOutcome(text)))).toEqual([]);
  });
});
