/** What the files that Node.js starts find in the command line's bundle (start.ts): its entries by name, each loaded when it is asked for. */
export const entries = {
  main: async (): Promise<void> => (await import('./main')).main(),
  logWorker: async (): Promise<void> => {
    (await import('./logWorker')).serveLogs();
  },
};
