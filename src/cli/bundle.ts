/**
 * What the files that Node.js starts find in the command line's bundle (start.ts): its entries by name, each loaded when it is asked
 * for. They say whether the process may end at once.
 */
export const entries = {
  main: async (): Promise<boolean> => (await import('./main')).main(),
  logWorker: async (): Promise<boolean> => {
    (await import('./logWorker')).serveLogs();
    return false;
  },
};
