/** The layers of docs/architecture: imports point one way. Each rule lists what a layer may reach among our own folders. */
const layers = {
  quantities: [],
  analysis: [],
  ports: [],
  text: [],
  files: ['quantities', 'ports'],
  review: ['files', 'analysis'],
  session: ['review', 'files', 'analysis', 'ports'],
  changes: ['session', 'ports'],
  reports: ['review', 'changes', 'charts', 'text'],
  platform: ['ports'],
  cli: ['session', 'changes', 'reports', 'review', 'text', 'platform', 'ports'],
  server: [
    'session',
    'changes',
    'reports',
    'review',
    'files',
    'quantities',
    'charts',
    'text',
    'protocol',
    'platform',
    'ports',
  ],
};
const own = Object.keys(layers).concat('charts', 'protocol');
const forbidden = Object.entries(layers).map(([layer, allowed]) => ({
  name: `layer-${layer}`,
  severity: 'error',
  comment: `src/${layer} may import only ${[layer, ...allowed].join(', ')} (types of lower layers included)`,
  from: { path: `^src/${layer}/` },
  to: {
    path: `^src/(${own.filter((name) => name !== layer && !allowed.includes(name)).join('|')})/`,
    pathNot: '^src/analysis/(method|side)[.]ts$', // constants that every document states: the method's version, the names of the sides
    dependencyTypesNot: ['type-only'],
  },
}));
module.exports = {
  forbidden: [
    ...forbidden,
    {
      name: 'no-circular',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'charts-types-only',
      severity: 'error',
      comment: 'charts build plain JSON from types alone',
      from: { path: '^src/(charts|protocol)/' },
      to: {
        path: `^src/(${own.filter((n) => n !== 'charts' && n !== 'protocol').join('|')})/`,
        dependencyTypesNot: ['type-only'],
      },
    },
    {
      name: 'server-words-of-reports',
      severity: 'error',
      comment: 'the server shares sentences and tables of the reports, never their documents or the drawing of SVG',
      from: { path: '^src/server/' },
      to: {
        path: '^src/reports/',
        pathNot:
          '^src/reports/(resultStory|driftFigures|comparisonStory|evidenceText|resultSettings|pageFigures|pointCells|pointWords|adjusterFigures|adjustersStory|branchStory|openingFacts)[.]ts$',
      },
    },
    {
      name: 'server-platform-at-entries',
      severity: 'error',
      comment: 'the entry files of the server alone pick a platform',
      from: {
        path: '^src/server/',
        pathNot:
          '^src/server/(nodeServer|nodePlatforms?|browserServer|browserPlatform|requestedPlatform|askedFiles|logWorker|workerLogs)[.]ts$',
      },
      to: { path: '^src/platform/' },
    },
    {
      name: 'no-node-in-core',
      severity: 'error',
      from: {
        path: '^src/',
        pathNot: '^src/(platform/node|cli|server/(nodeServer|nodePlatforms?|logWorker|workerLogs))',
      },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'faces-of-the-editor',
      severity: 'error',
      comment: 'extension/ and webview/ know the protocol alone; a page also takes the escaper of the CSV sink',
      from: { path: '^(extension|webview)/' },
      to: { path: '^src/', pathNot: '^src/(protocol/|text/(csvCell|visible)[.]ts$)' },
    },
    {
      name: 'editor-apart-from-pages',
      severity: 'error',
      from: { path: '^extension/' },
      to: { path: '^webview/|node_modules/vega|^src/text/' },
    },
    {
      name: 'pages-apart-from-editor',
      severity: 'error',
      from: { path: '^webview/' },
      to: { path: '^extension/|node_modules/vscode|^vscode$' },
    },
    {
      name: 'no-tests-in-product',
      severity: 'error',
      from: { path: '^(src|extension|webview)/' },
      to: { path: '^tests/' },
    },
    {
      name: 'csv-parse-in-one-folder',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/files/csv/' },
      to: { path: 'node_modules/csv-parse' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'require', 'node', 'default', 'types'],
    },
  },
};
