import { readdirSync } from 'node:fs';
import { constants, getPriority, setPriority } from 'node:os';

/**
 * How many steps of priority they stand behind: their weight is then a third of the main thread's, enough not to starve where other programs
 * keep every core busy. Ten steps gain a fortieth more where nothing else runs, and cost half of a check where three others do.
 */
const STEPS_BEHIND = 5;

/**
 * Has V8's threads, which compile and clear up beside the main thread, give way to it: V8 starts four, on two cores they stood in the main
 * thread's way for a tenth of a check of 2,000 results. On Linux, where a thread has a priority of its own; elsewhere, and where the system
 * does not let it, nothing is done. To be called before anything else is: a thread that is there by then is V8's.
 */
export function putHelperThreadsBehind(): void {
  if (process.platform !== 'linux') return;
  try {
    const behind = Math.min(getPriority() + STEPS_BEHIND, constants.priority.PRIORITY_LOW);
    for (const thread of readdirSync('/proc/self/task')) {
      if (Number(thread) !== process.pid) setPriority(Number(thread), behind);
    }
  } catch {
    // No /proc here, or the call is barred: the threads stay as they are.
  }
}
