import type { PageName } from '../../src/protocol/views';

const TITLES: Readonly<Record<PageName, string>> = {
  preview: 'Preview of a damper result',
  comparison: 'Two builds side by side',
  adjusters: 'Adjusters of a damper',
  branch: 'Review of a branch',
};

/**
 * A page's markup: no text of any file, one script by nonce, one style sheet of our own. The policy lets it do nothing else: no inline script or
 * style, no code made from text, no connection, no form.
 */
export function pageHtml(
  page: PageName,
  { script, style, source }: { readonly script: string; readonly style: string; readonly source: string },
): string {
  const nonce = freshNonce();
  const policy = [
    "default-src 'none'",
    `script-src 'nonce-${nonce}'`,
    `style-src ${source}`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="stylesheet" href="${style}">
<title>${TITLES[page]}</title>
</head>
<body data-page="${page}">
<div id="notice" role="alert"></div>
<main id="page" aria-busy="true"><p>Reading …</p></main>
<div id="spoken" role="status" aria-live="polite"></div>
<script nonce="${nonce}" src="${script}"></script>
</body>
</html>`;
}

/** 128 random bits. */
function freshNonce(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
