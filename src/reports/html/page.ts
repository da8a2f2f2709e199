import { markup, type SafeHtml } from './safeHtml';
import { STYLESHEET, STYLESHEET_HASH } from './stylesheet';

/** Nothing runs, nothing is fetched, nothing is sent: the page may show its own text, drawings and this one style sheet. */
const POLICY = `default-src 'none'; style-src '${STYLESHEET_HASH}'; base-uri 'none'; form-action 'none'`;

/** A whole page in one file. `title` is shown by the browser and on prints of some. */
export function page(title: string, body: SafeHtml): string {
  const head = markup`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta http-equiv="Content-Security-Policy" content="${POLICY}" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        <title>${title}</title>
      </head>
    </html> `;
  return `${head.source}<style>${STYLESHEET}</style>\n</head>\n<body>\n${body.source}\n</body>\n</html>\n`;
}
