/** Stands in for the package of ready-made chart themes: a page's charts carry every colour themselves. */
export const version = 'none';
