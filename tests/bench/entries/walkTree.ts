/* walkTree FOLDER: the baseline of a second review. Walks the tree and stats every file. */
import { lstatSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { tell } from '../shared/outcome';

let rows = 0;
const folders = [process.argv[2]!];
for (let folder = folders.pop(); folder !== undefined; folder = folders.pop()) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    if (entry.name === '.git') continue;
    const path = join(folder, entry.name);
    if (entry.isDirectory()) folders.push(path);
    else if (lstatSync(path).size > 0) rows += 1;
  }
}
tell({ rows });
