import type { JudgedPoint } from '../review/judgedResult';
import { bare } from '../text/figures';
import { signedShare } from './driftFigures';

/** A column of the tables of points, once for each side. */
export interface PointColumn {
  readonly head: string;
  /** Left out of the tables of settings that are folded away. */
  readonly detail: boolean;
  readonly cell: (point: JudgedPoint) => string;
}

/** Forces in N; signs as the force has them, compression positive. The share of tolerance is positive where harder. */
export const POINT_COLUMNS: readonly PointColumn[] = [
  { head: 'Load cell', detail: true, cell: (p) => bare.force(p.force) },
  { head: 'Damping', detail: false, cell: (p) => figure(p.damping, bare.force) },
  { head: 'Reference', detail: false, cell: (p) => figure(p.reference, bare.force) },
  { head: 'Drift', detail: false, cell: (p) => figure(p.drift, bare.signedForce) },
  { head: 'U', detail: true, cell: (p) => figure(p.uncertainty, bare.force) },
  { head: 'Tolerance', detail: true, cell: (p) => figure(p.tolerance, bare.force) },
  { head: '% of tol.', detail: false, cell: (p) => signedShare(p) ?? '' },
];

function figure(value: number | undefined, write: (value: number) => string): string {
  return value === undefined || !Number.isFinite(value) ? '' : write(value);
}
