/** Environment variables by which the global setup tells the test files where host, browser and folders of this run are. */
export const RUN = {
  host: 'DAMPER_EDITOR_RUN_HOST',
  browser: 'DAMPER_EDITOR_RUN_BROWSER',
  work: 'DAMPER_EDITOR_RUN_WORK',
  extensions: 'DAMPER_EDITOR_RUN_EXTENSIONS',
} as const;

export function ofRun(name: keyof typeof RUN): string {
  const value = process.env[RUN[name]];
  if (value === undefined) throw new Error('Run the editor tests by npm run test:editor.');
  return value;
}
