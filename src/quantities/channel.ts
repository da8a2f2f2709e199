import type { Unit } from './unit';

/** Which way a channel counts up. Everything here is positive in compression. */
export type PositiveDirection = 'compression' | 'rebound';

/** SI value = (number in the file) x factor + offset, positive in compression. */
export interface ChannelScale {
  readonly factor: number;
  readonly offset: number;
}

/** Scale of a channel from its unit and sign. Only displacement, velocity and force have a sign; their units have no offset. */
export function channelScale(unit: Unit, positive: PositiveDirection = 'compression'): ChannelScale {
  return positive === 'compression'
    ? { factor: unit.factor, offset: unit.offset }
    : { factor: -unit.factor, offset: -unit.offset };
}
