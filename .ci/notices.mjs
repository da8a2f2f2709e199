// Writes THIRD-PARTY-NOTICES.md: the licence of every package that ends up in a bundle of dist/, read from the last build's
// metafile. `--check` compares instead and fails on a difference.
import { existsSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const packages = new Set();
for (const metafile of JSON.parse(readFileSync('build/metafile.json', 'utf8')))
  for (const input of Object.keys(metafile.inputs)) {
    const found = /^(?:.*\/)?node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(input);
    if (found) packages.add(input.slice(0, found[0].length - 1));
  }

const parts = [...packages].sort().map((folder) => {
  const manifest = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const file = readdirSync(folder).find((name) => /^licen[cs]e/i.test(name)) ?? '';
  const text =
    file && existsSync(join(folder, file))
      ? readFileSync(join(folder, file), 'utf8').trim().replace(/\r\n/g, '\n')
      : 'The package ships no licence file.';
  return {
    head: `${manifest.name} ${manifest.version} (${typeof manifest.license === 'string' ? manifest.license : 'see text'})`,
    text,
  };
});
// One licence text stands once, under all packages that share it to the letter.
const byText = new Map();
for (const { head, text } of parts) byText.set(text, [...(byText.get(text) ?? []), head]);
const body = [...byText].map(([text, heads]) => `## ${heads.join(', ')}\n\n\`\`\`\n${text}\n\`\`\`\n`).join('\n');
const notices = `# Third-party notices\n\nPackages that are bundled into this product, with their licences. Made by \`npm run notices\`.\n\n${body}`;

const file = 'THIRD-PARTY-NOTICES.md';
if (process.argv.includes('--check')) {
  if (!existsSync(file) || readFileSync(file, 'utf8') !== notices) {
    console.error(`${file} does not match what is bundled: run npm run notices.`);
    process.exit(1);
  }
} else writeFileSync(file, notices);
