import { expect } from 'vitest';
import type { ForceTable } from '../../src/files/forceTable';
import { readForceTable } from '../../src/files/readForceTable';
import { bytesOf, onlyProblem, told, copyOfTable } from './support';

/** Texts of a reference and of a result that hold every key, and what a reader makes of changed ones. */

export const REFERENCE = 'specs/alder-front.refcurve.csv';
export const RESULT = 'dampers/F-017/build-2/alder-front.result.csv';
export const SHA = 'a'.repeat(64);

export const REFERENCE_TEXT = `# formatVersion: 1
# spec: alder-front
# gas: {force: 375 N, temperature: 31 Cel, source: fit}
# stroke: 50 mm
# midPosition: 35 mm
# drive: sine
# adopted: {from: dampers/F-001/build-1/alder-front.result.csv, on: 2026-01-20, reason: "First approved unit"}
LSC [click],HSC [click],R [click],velocity [mm/s],compression [N],rebound [N],temperature [Cel]
0,0,0,100,895.4,-314.6,34.0
0,0,0,200,1200,-500,34.5
`;

export const RESULT_TEXT = `# formatVersion: 1
# spec: alder-front
# serial: 017
# build: 1e3
# date: 2026-03-14T10:22:00Z
# bench: bench-1
# run: 2
# sameMounting: true
# retest: {of: 2026-03-13, reason: loose clevis}
# forceZero: unloaded
# temperatureAt: body
# method: 1
# benchIncluded: false
# source: [{path: dampers/F-017/build-2/alder-front.testlog.csv, sha256: ${SHA}}]
# inputs: {spec: ${SHA}, bench: ${SHA}}
# reference: {path: specs/alder-front.refcurve.csv, sha256: ${SHA}}
LSC [click],pass,velocity [mm/s],compression [N],rebound [N],gas [N],temperature [Cel],compressionVelocity [mm/s],reboundVelocity [mm/s],compressionU [N],reboundU [N],compressionK,reboundK,compressionDf,reboundDf,cycles,energy [J]
8,1,100,895.4,-314.6,374,34.0,100.12,99.87,3.10,3.20,2.020,2.030,41.0,40.5,4,54.100
8,2,100,890.0,,,34.0,100.12,,3.10,,2.020,,41.0,,4,54.100
`;

/** Its rows are objects of their own. */
export function tableOf(file: string, text: string): ForceTable {
  const { table, problems } = readForceTable(file, bytesOf(text));
  if (table === undefined || problems.length > 0) throw new Error(JSON.stringify(problems.map(told), null, 1));
  return copyOfTable(table);
}

/** Changes header and data, not the preamble. */
export function body(text: string, change: (line: string) => string): string {
  return text
    .split('\n')
    .map((line) => (line === '' || line.startsWith('#') ? line : change(line)))
    .join('\n');
}

/** The one fault of a reference whose body is as given. */
export function faultOf(lines: string, preamble = '# formatVersion: 1\n# spec: a\n'): Record<string, unknown> {
  const { table, problems } = readForceTable(REFERENCE, bytesOf(preamble + lines));
  expect(table).toBeUndefined();
  const problem = onlyProblem(problems);
  expect(problem.file).toBe(REFERENCE);
  expect(problem.remedy.length).toBeGreaterThan(10);
  return told(problem);
}

export const HEADER = 'velocity [mm/s],compression [N],rebound [N]';
