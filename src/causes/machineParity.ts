import { blend } from './blend.ts';
import type { Cause } from './cause.ts';

/** What the machines differ in with who rides them: power per mass and drag per mass. Only where the session says so. */
export const machineParity: Cause<'machineParity'> = {
  key: 'machineParity',
  group: 'machine',
  offShare: 0.04,
  differs: (a, b) => a.powerScale !== b.powerScale || a.dragPerM !== b.dragPerM,
  mix: (a, b, weight, into) => {
    into.powerScale = blend(a.powerScale, b.powerScale, weight);
    into.dragPerM = blend(a.dragPerM, b.dragPerM, weight);
  },
  says: (a, b) =>
    machineParity.differs(a, b)
      ? { powerShare: a.powerScale / b.powerScale, dragShare: a.dragPerM / b.dragPerM }
      : null,
};
