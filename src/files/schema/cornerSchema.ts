import * as z from 'zod';
import { addFault } from './faults';
import { decimal, formatVersion, identity, notNegative, positive, text } from './scalars';

function ratio(description: string) {
  return decimal(description).superRefine((value, context) => {
    if (value > 0 && value <= 5) return;
    addFault(context, `${value} is no motion ratio.`, {
      remedy: 'Write travel of the damper over travel of the wheel, such as 0.95.',
    });
  });
}

export const cornerSchema = z
  .strictObject({
    formatVersion: formatVersion(),
    id: identity('Name of the corner.'),
    title: text('What people call it.').optional(),
    spec: identity('Id of the spec of its damper.').optional(),
    sprungMass: positive('mass', 'Mass on this corner, without the wheel.'),
    unsprungMass: positive('mass', 'Mass of the wheel and what moves with it.').optional(),
    springRate: positive('stiffness', 'Rate of the spring itself.'),
    motionRatio: ratio('Damper travel over wheel travel.'),
    springMotionRatio: ratio(
      'Spring travel over wheel travel, where the spring does not sit on the damper.',
    ).optional(),
    tyreRate: positive('stiffness', 'Vertical rate of the tyre.').optional(),
    bumpTravel: notNegative('length', 'Damper travel from ride height to the bump stop.').optional(),
    reboundTravel: notNegative('length', 'Damper travel from ride height to full extension.').optional(),
  })
  .meta({ title: 'Corner of a car', description: 'What a damper sits in.' });
