/* Writes a log of so many bytes for the editor to read beside a document: a preamble, then one simulated staircase after the other. */
import { createWriteStream } from 'node:fs';
import { once } from 'node:events';
import { repeatedStaircases } from '../shared/benchLog';
import { tell } from '../shared/outcome';

const [path, bytes, ...preamble] = process.argv.slice(2);
const out = createWriteStream(path!);
out.write(preamble.map((line) => `# ${line}\n`).join(''));
for await (const piece of repeatedStaircases(Number(bytes))) if (!out.write(piece)) await once(out, 'drain');
out.end();
await once(out, 'finish');
tell({ bytes: out.bytesWritten });
