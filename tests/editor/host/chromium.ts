export const CHROMIUM_PATH = process.env['DAMPER_CHROMIUM'] ?? '/usr/bin/chromium';
export const CHROMIUM_ARGUMENTS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
