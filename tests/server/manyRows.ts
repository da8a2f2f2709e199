/** The log with every row so often, in as many parts of its interval, that it has that many bytes. */
export function manyRows(log: string, bytes: number): string {
  const lines = log.trimEnd().split('\n');
  const start = lines.findIndex((line) => line.startsWith('time')) + 1;
  const often = Math.ceil(bytes / log.length);
  const rows = lines.slice(start).map((line) => {
    const [time, rest] = [Number.parseFloat(line), line.slice(line.indexOf(','))];
    return Array.from({ length: often }, (_, part) => `${(time + (0.002 * part) / often).toFixed(6)}${rest}\n`).join(
      '',
    );
  });
  return `${lines.slice(0, start).join('\n')}\n${rows.join('')}`;
}
