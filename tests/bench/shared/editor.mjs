/* The browser and the settings that a real editor is measured with. */
export const CHROMIUM = process.env.DAMPER_CHROMIUM ?? '/usr/bin/chromium';
export const CHROMIUM_ARGUMENTS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-sync',
];
export const QUIET = {
  'workbench.startupEditor': 'none',
  'editor.minimap.enabled': false,
  'editor.quickSuggestions': { other: 'off', comments: 'off', strings: 'off' },
  'files.autoSave': 'off',
  'extensions.autoUpdate': false,
  'telemetry.telemetryLevel': 'off',
  'update.mode': 'none',
};
