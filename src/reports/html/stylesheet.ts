import { DARK, LIGHT, themeProperties, type ChartTheme } from '../../charts/theme';

function properties(theme: ChartTheme): string {
  return Object.entries(themeProperties(theme))
    .map(([name, colour]) => `${name}:${colour}`)
    .join(';');
}

/** Colours of the page beside those of the charts. */
const LIGHT_PAGE = '--pass:#1b6e43;--undecided:#7a5600;--fail:#a8003c;--line:#c3cad0;--soft:#f2f5f6';
const DARK_PAGE = '--pass:#6fd09a;--undecided:#e8bf5a;--fail:#ff7d9c;--line:#434c54;--soft:#20262b';
/** In forced colours the reader's own palette draws everything; curves stay apart by place, dash and marker. */
const FORCED = [
  '--chart-paper:Canvas;--chart-ink:CanvasText;--chart-quiet:CanvasText;--chart-edge:CanvasText;--chart-grid:Canvas;--chart-band:Canvas',
  '--chart-compression:LinkText;--chart-rebound:CanvasText;--chart-reference:CanvasText;--chart-fail:CanvasText',
  '--chart-series-1:LinkText;--chart-series-2:CanvasText;--chart-series-3:CanvasText',
  '--pass:CanvasText;--undecided:CanvasText;--fail:CanvasText;--line:CanvasText;--soft:Canvas',
].join(';');

/**
 * The one style sheet of the pages, constant, so that the page's policy can name its hash. On screen a column of sheets; on A4
 * each result starts a page of its own, and its title block stands on every page of it.
 */
export const STYLESHEET = `
:root{color-scheme:light dark;${properties(LIGHT)};${LIGHT_PAGE}}
@media screen and (prefers-color-scheme:dark){:root{${properties(DARK)};${DARK_PAGE}}}
@media (forced-colors:active){:root{${FORCED}}svg{forced-color-adjust:none}}
*{box-sizing:border-box}
body{margin:0;background:var(--chart-paper);color:var(--chart-ink);font:15px/1.45 sans-serif}
main,.top{max-width:60rem;margin:0 auto;padding:0 1rem}
h1{font-size:1.5rem;margin:1.5rem 0 .3rem}
h2{font-size:1.2rem;line-height:1.35;margin:1.1rem 0 .2rem}
h3{font-size:1rem;margin:1.4rem 0 .3rem}
h4{font-size:.9rem;margin:1rem 0 .2rem}
p{margin:.3rem 0}
a{color:inherit}
code{font-family:monospace;font-size:.92em;overflow-wrap:anywhere}
.quiet{color:var(--chart-quiet);font-size:.9em}
.skip{position:absolute;left:-100rem}
.skip:focus{position:static}
.word{font-weight:700;white-space:nowrap}
.pass{color:var(--pass)}.undecided{color:var(--undecided)}.fail{color:var(--fail)}
.sheet{border-top:3px solid var(--chart-ink);margin:2.5rem 0 0;padding-top:0}
.block{display:grid;grid-template-columns:repeat(auto-fit,minmax(6.5rem,1fr));margin:0;border:solid var(--line);border-width:0 0 1px 1px}
.block div{border:solid var(--line);border-width:0 1px 0 0;padding:.2rem .5rem .3rem;min-width:0}
.block .wide{grid-column:span 2}
.block dt{font-size:.72rem;color:var(--chart-quiet)}
.block dd{margin:0;font-weight:600;overflow-wrap:anywhere}
.facts{display:grid;grid-template-columns:max-content 1fr;gap:.15rem .8rem;margin:.7rem 0}
.facts dt{color:var(--chart-quiet)}
.facts dd{margin:0}
.steps{margin:.3rem 0;padding-left:1.4rem}
figure{margin:1rem 0;break-inside:avoid}
figure svg{display:block;max-width:100%;height:auto}
figcaption{color:var(--chart-quiet);font-size:.9em;max-width:46rem}
.findings{list-style:none;margin:.3rem 0;padding:0}
.findings li{border-left:4px solid var(--line);margin:.7rem 0;padding:.05rem 0 .05rem .8rem;break-inside:avoid}
.findings .error{border-color:var(--fail)}
.findings .warning{border-color:var(--undecided)}
.scroll{overflow-x:auto}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}
caption{text-align:left;font-size:.9em;color:var(--chart-quiet);padding-bottom:.25rem}
th,td{padding:.15rem .5rem;text-align:left;vertical-align:top}
thead th{font-weight:600;border-bottom:1px solid var(--chart-ink);vertical-align:bottom}
tbody tr{border-bottom:1px solid var(--line)}
tbody th,td .word,.id{white-space:nowrap}
.points{font-size:.8rem}
.points th,.points td{text-align:right;padding:.1rem .4rem}
.points .side{text-align:center}
.points .edge{border-left:1px solid var(--line)}
.out{font-weight:700;color:var(--fail)}.open{font-weight:700;color:var(--undecided)}
details{margin:.6rem 0}
summary{cursor:pointer}
.sign{display:none}
.cautions{border:1px solid var(--line);background:var(--soft);margin:2rem 0;padding:.4rem 1rem}
@page{size:A4;margin:13mm 13mm 15mm;@bottom-right{content:"page " counter(page) " of " counter(pages);font:8pt sans-serif}}
@media print{
body{font-size:9pt;line-height:1.35}
main,.top{max-width:none;padding:0}
h1{margin-top:0}
h2{font-size:12pt;margin:2mm 0 0}
h3{font-size:10pt;margin:3mm 0 0}
p{margin:.5mm 0}
.facts{margin:1.5mm 0}
.sheet{display:table;width:100%;margin:0;break-before:page;border-top:0}
.runner{display:table-header-group;break-inside:avoid}
.folio{display:table-row-group}
.block{grid-template-columns:1.1fr .6fr 2.4fr 1fr 1fr 1fr 1.2fr;border-top:2px solid var(--chart-ink);margin-bottom:2mm}
.block .wide{grid-column:auto}
.block div{padding:.5mm 1.5mm}
.block dt{font-size:6.5pt}
h2,h3,h4,caption,thead{break-after:avoid}
tr{break-inside:avoid}
.points{font-size:6.6pt;width:100%}
.points th,.points td{padding:.2mm .8mm}
.scroll{overflow:visible}
figure{margin:2mm 0}
figure svg{width:150mm;height:auto}
.findings li{margin:1.5mm 0}
.skip,details:not([open]){display:none}
.cautions{break-inside:avoid}
.sign{display:grid;grid-template-columns:2fr 1fr;gap:12mm;margin-top:14mm;break-inside:avoid}
.sign span{border-top:1px solid var(--chart-ink);padding-top:1mm}
}
`;

/** SHA-256 of STYLESHEET in base64 for the page's policy; a test holds it against the text. */
export const STYLESHEET_HASH = 'sha256-4WgbMK0IUHwtN6Yu2cJENbbi/s53vf1Pj1PZ7lfAPCo=';
