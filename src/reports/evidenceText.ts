/** Unit at the end of an evidence key, as a document has it and as it is read; the longer ones first. */
const UNITS: readonly (readonly [string, string])[] = [
  ['_N_s_m', 'N s/m'],
  ['_N_mm', 'N/mm'],
  ['_mm_s', 'mm/s'],
  ['_m_s2', 'm/s²'],
  ['_percent', '%'],
  ['_Cel', '°C'],
  ['_mm', 'mm'],
  ['_ms', 'ms'],
  ['_Hz', 'Hz'],
  ['_bar', 'bar'],
  ['_N', 'N'],
  ['_J', 'J'],
  ['_K', 'K'],
  ['_W', 'W'],
  ['_s', 's'],
];

/** A finding's evidence in a line, numbers to four digits: `drift 46.5 N, tolerance 34.7 N`. Texts in it may come from files. */
export function evidenceText(evidence: Readonly<Record<string, number | string>>): string {
  return Object.entries(evidence)
    .map(([key, value]) => {
      const unit = typeof value === 'number' ? UNITS.find(([ending]) => key.endsWith(ending)) : undefined;
      const name = unit === undefined ? key : key.slice(0, -unit[0].length);
      return `${words(name)} ${typeof value === 'number' ? Number(value.toPrecision(4)) : value}${unit === undefined ? '' : ` ${unit[1]}`}`;
    })
    .join(', ');
}

/** `velocityFrom` reads `velocity from`. */
function words(name: string): string {
  return name
    .replaceAll('_', ' ')
    .replace(/([a-z])([A-Z])(?=[a-z])/g, (_, before: string, after: string) => `${before} ${after.toLowerCase()}`);
}
